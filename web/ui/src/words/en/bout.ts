export const bout = {};
