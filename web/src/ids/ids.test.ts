import { expect, test } from 'vitest'
import { lessonId, uuid5, uuid7 } from './ids'

test('version 5 is that of RFC 9562, appendix A.4', async () => {
  const dns = '6ba7b810-9dad-11d1-80b4-00c04fd430c8'
  expect(await uuid5(dns, 'www.example.com')).toBe('2ed6657d-e927-568b-95e1-2665a8aea6a2')
})

test('version 7 is laid out as in RFC 9562, appendix A.6', () => {
  expect(uuid7(0x017f22e279b0)).toMatch(/^017f22e2-79b0-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/)
})

test('a later one sorts after an earlier one', () => {
  expect(uuid7(1_000) < uuid7(1_001)).toBe(true)
})

test('a lesson has the id that the server derives', async () => {
  // Python: uuid.uuid5(uuid.UUID('01a2149b-0f13-7ab7-8cf2-a6c4b3bd2c06'), '2026-12-01')
  expect(await lessonId('01a2149b-0f13-7ab7-8cf2-a6c4b3bd2c06', '2026-12-01')).toBe('4ab93183-dc51-56a7-90cb-a22fb62575f0')
})
