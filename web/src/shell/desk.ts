/** The pages of the desk: one file of their own, fetched when the first of them is opened. */
export { default as desk } from '../desk/Desk.svelte'
export { default as school } from '../school/School.svelte'
export { default as colleague } from '../staff/Colleague.svelte'
export { default as staff } from '../staff/Staff.svelte'
