export const salle = {};
