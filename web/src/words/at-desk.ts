/**
 * The texts of the desk, as `words.ts` says: in a file of their own, so that a phone beside the mat
 * need not fetch them first. Only what is shown at the desk imports this.
 */
import { classes } from './en/classes'
import { comparison } from './en/comparison'
import { curriculum } from './en/curriculum'
import { desk } from './en/desk'
import { draftCard } from './en/draft-card'
import { files } from './en/files'
import { held } from './en/held'
import { map } from './en/map'
import { progress } from './en/progress'
import { record } from './en/record'
import { school } from './en/school'
import { staff } from './en/staff'

export const atDesk = {
  classes,
  comparison,
  curriculum,
  desk,
  draftCard,
  files,
  held,
  map,
  progress,
  record,
  school,
  staff,
}
