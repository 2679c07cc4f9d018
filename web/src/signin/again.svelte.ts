/** Whether signing in again is asked for, over whatever page is shown. */
export const again = $state({ open: false })
