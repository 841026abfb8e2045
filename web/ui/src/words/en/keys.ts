export const keys = {};
