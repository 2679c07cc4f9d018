import { expect, test } from 'vitest'
import type { SignInAnswer } from '../shell/session.svelte'
import { words } from '../words/words'
import { Asking, wrongIn } from './asking.svelte'

const said = words.signin

function filled(email = ' maya@lantern.example ', password = 'seven quiet herons'): Asking {
  const asking = new Asking(email)
  asking.password = password
  return asking
}

const answers = (answer: SignInAnswer) => async () => answer

test('whoever is let in goes on, with the email as it was meant', async () => {
  const asking = filled()
  const asked: string[][] = []
  const answer = await asking.ask(async (...typed) => {
    asked.push(typed)
    return { is: 'in' } as const
  }, wrongIn)
  expect(answer).toEqual({ is: 'in' })
  expect(asked).toEqual([['maya@lantern.example', 'seven quiet herons']])
  expect([asking.busy, asking.wrong]).toEqual([false, null])
})

test.each([
  [{ is: 'wrong' }, said.wrong],
  [{ is: 'no_signal' }, said.noSignal],
  [{ is: 'nowhere' }, said.nowhere],
  [{ is: 'too_often', wait_ms: 61_000 }, said.tooOften(2)],
  [{ is: 'too_often', wait_ms: null }, said.tooOften(null)],
] as [SignInAnswer, string][])('%o is said, and it may be tried again', async (answer, wrong) => {
  const asking = filled()
  expect(await asking.ask(answers(answer), wrongIn)).toBeNull()
  expect([asking.busy, asking.wrong]).toEqual([false, wrong])
  expect(await asking.ask(answers({ is: 'in' }), wrongIn)).toEqual({ is: 'in' })
  expect(asking.wrong).toBeNull()
})

test('what this phone could not do is said, and it may be tried again', async () => {
  const asking = filled()
  const full = () => Promise.reject(new DOMException('full', 'QuotaExceededError'))
  expect(await asking.ask(full, wrongIn)).toBeNull()
  expect([asking.busy, asking.wrong]).toEqual([false, said.notDone])
  expect(await asking.ask(answers({ is: 'in' }), wrongIn)).toEqual({ is: 'in' })
})

test('nothing is asked before both are there, nor twice at once', async () => {
  const never = () => Promise.reject(new Error('it was asked'))
  for (const asking of [filled('  '), filled('maya@lantern.example', '')]) {
    expect(await asking.ask(never, wrongIn)).toBeNull()
    expect(asking.wrong).toBe(said.missing)
  }
  const asking = filled()
  const first = asking.ask(answers({ is: 'in' }), wrongIn)
  expect(asking.busy).toBe(true)
  expect(await asking.ask(never, wrongIn)).toBeNull()
  expect(await first).toEqual({ is: 'in' })
})
