export const stave = {};
