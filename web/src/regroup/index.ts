/** Groups with no signal: from a pair table, by the rules that the service has. */

export type {
  Change,
  Check,
  Checked,
  CheckedGroup,
  Formed,
  Found,
  Group,
  Latecomer,
  LeastChange,
  Leaves,
  Left,
  Mended,
  Moved,
  PairTable,
  Proposal,
  Propose,
  Reason,
  Role,
  Seats,
  Swapped,
  TakenIn,
  Tonight,
  Worth,
} from './tonight'

export { check } from './check'
export { moved, swapped } from './hands'
export { latecomer, leaves } from './latecomer'
export { leastChange } from './least-change'
export { propose } from './regroup'
