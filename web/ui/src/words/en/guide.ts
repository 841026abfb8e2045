// The guided first touch.
export const guide = {};
