/** The pages of the desk: one file of their own, fetched when the first of them is opened. */
export { default as desk } from '../desk/Desk.svelte'
export { default as classes } from '../classes/Classes.svelte'
export { default as klass } from '../classes/Klass.svelte'
export { default as roster } from '../classes/Roster.svelte'
export { default as record } from '../record/Record.svelte'
export { default as school } from '../school/School.svelte'
export { default as colleague } from '../staff/Colleague.svelte'
export { default as staff } from '../staff/Staff.svelte'
