export const regroup = {}
