// How lengths and corners are written on the plan and in the list.

export const metres = (m) => `${m.toFixed(m < 100 ? 2 : 1)} m`;
export const letter = (i) => (i < 26 ? String.fromCharCode(65 + i) : `P${i + 1}`);
