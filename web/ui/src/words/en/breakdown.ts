export const breakdown = {};
