// One control for each kind of value that a job file takes, and the edit that it makes.
import { Entry, Edit, Key } from './api'
import { Length } from './keypad'
import { Choice, Usual, Words } from './parts'
import { edit, get, levels } from './state'

export const sizes = ['1-1/4', '1-1/2', '2', '3', '4', '6']
export const slopes = [`1/8" per ft`, `1/4" per ft`, `1/2" per ft`]

/** plainSize drops the unit that a size may be written with, so that a list can show it. */
export const plainSize = (s: string) => s.replace(/\s*("|in)$/, '')

const split = (v: string) => v.split(',').map((x) => x.trim()).filter((x) => x)

/** setKey gives the edit that puts a value at a path, or takes the key out when it is "". */
export function setKey(path: string[], value: string, was: Entry | undefined, takes = 'text'): Edit[] {
  if (value === '') return was ? [{ op: 'remove', path }] : []
  if (takes === 'texts' || takes === 'words' || takes === 'legs') {
    const list = split(value)
    return [list.length === 1 && takes !== 'legs' ? { op: 'set', path, value: list[0] } : { op: 'set', path, list }]
  }
  return [{ op: 'set', path, value }]
}

const capital = (s: string) => s.charAt(0).toUpperCase() + s.slice(1)

/** KeyField shows one key of the file and changes it. */
export function KeyField(props: { path: string[]; of: Key; was: Entry | undefined; label?: string }) {
  const { path, of, was } = props
  const label = props.label ?? capital(of.name)
  const value = was?.list ? was.list.join(', ') : (was?.text ?? '')
  const send = (v: string) => { void edit(...setKey(path, v, was, of.takes)) }
  if (of.takes === 'keys' || was?.keys) {
    return (
      <fieldset>
        <legend>{label}</legend>
        {(of.keys ?? []).map((k) => <KeyField key={k.name} path={[...path, k.name]} of={k} was={get(was, k.name)} />)}
      </fieldset>
    )
  }
  if (of.name === 'level' && levels().length > 0) return <Choice label={label} value={value} of={levels()} none="Not said" onPick={send} />
  switch (of.takes) {
    case 'flag':
      return <Choice label={label} value={flag(value)} of={['yes', 'no']} none="Not said" hint={of.say} onPick={send} />
    case 'word':
      if (of.open) return <Usual label={label} value={value} usual={of.words ?? []} none="Not said" hint={of.say} onPick={send} />
      return <Choice label={label} value={value} of={of.words ?? []} none="Not said" hint={of.say} onPick={send} />
    case 'length': case 'height':
      return <Length label={label} value={value} hint={of.say} onDone={send} />
    case 'size':
      return <Usual label={label} value={plainSize(value)} usual={sizes} none="Not said" hint={of.say} onPick={send} />
    case 'slope':
      return <Usual label={label} value={value} usual={slopes} none="Not said" hint={of.say} onPick={send} />
    default:
      return <Words label={label} value={value} hint={of.say + (of.takes === 'words' || of.takes === 'texts' ? '; several with commas' : '')} onDone={send} />
  }
}

function flag(v: string): string {
  if (/^(true|yes)$/i.test(v)) return 'yes'
  if (/^(false|no)$/i.test(v)) return 'no'
  return v
}
