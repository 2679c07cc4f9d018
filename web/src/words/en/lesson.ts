export const lesson = {
  print: 'Print the sheet for the wall',
  printHelp: 'Opens a page for print with what the server knows by now.',
  printLater: 'With a signal the sheet for the wall can be printed here.',
}
