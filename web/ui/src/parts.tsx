// Small parts that the panes share.
import { ComponentChildren } from 'preact'
import { useEffect, useId, useRef } from 'preact/hooks'
import { useSignal } from '@preact/signals'
import { Cite, Severity } from './api'

const paths: Record<string, string> = {
  plus: 'M12 5v14M5 12h14', minus: 'M5 12h14', fit: 'M4 9V4h5M20 9V4h-5M4 15v5h5M20 15v5h-5',
  undo: 'M8 5 3 10l5 5M3 10h11a6 6 0 0 1 0 12h-3', redo: 'm16 5 5 5-5 5M21 10H10a6 6 0 0 0 0 12h3',
  close: 'M6 6l12 12M18 6 6 18', keypad: 'M4 4h16v16H4zM4 9.3h16M4 14.6h16M9.3 4v16M14.6 4v16',
  back: 'M15 4l-8 8 8 8', next: 'M9 4l8 8-8 8', drop: 'M12 3c4 5 6 8 6 11a6 6 0 0 1-12 0c0-3 2-6 6-11z', bin: 'M4 7h16M9 7V4h6v3M6 7l1 13h10l1-13',
  file: 'M6 3h8l4 4v14H6zM14 3v4h4', list: 'M9 6h11M9 12h11M9 18h11M4 6h1M4 12h1M4 18h1', ask: 'M9 9a3 3 0 1 1 4 3c-1 .5-1 1-1 2M12 18v.5',
  warn: 'M12 4 3 20h18zM12 10v5M12 17.5v.5', out: 'M12 4v11M7 11l5 5 5-5M4 20h16', sun: 'M12 8a4 4 0 1 0 0 8 4 4 0 0 0 0-8zM12 2v3M12 19v3M2 12h3M19 12h3M5 5l2 2M17 17l2 2M19 5l-2 2M7 17l-2 2',
  pencil: 'M4 20l1-5L16 4l4 4L9 19zM13 7l4 4',
  large: 'M14 4h6v6M20 4l-7 7M10 20H4v-6M4 20l7-7',
  up: 'M6 15l6-6 6 6', down: 'M6 9l6 6 6-6',
}

export function Icon({ name }: { name: string }) {
  return <svg class="icon" viewBox="0 0 24 24" width="24" height="24" aria-hidden="true" focusable="false"><path d={paths[name]} /></svg>
}

export const firstCapital = (s: string) => s.charAt(0).toUpperCase() + s.slice(1)

/** unitWords gives a number of units with its word. */
export const unitWords = (n: string) => (n === '1' ? '1 unit' : n + ' units')

/** Say writes words so that no size is broken between two lines. */
export function Say({ of }: { of: string }) {
  return <>{of.split(/(\d+-\d+\/\d+(?: in\b|")?)/).map((w, i) => (i % 2 ? <span key={i} class="whole">{w}</span> : w))}</>
}

/** Field is a label over a control; the label names it for everyone. What it is of may be told
 *  to those only who do not see what it stands beside. */
export function Field(props: { label: string; of?: string; hint?: string; children: (id: string, hintId?: string) => ComponentChildren }) {
  const id = useId()
  const hint = props.hint ? id + 'h' : undefined
  return (
    <div class="field">
      <label for={id}>{props.label}{props.of && <span class="unseen"> ({props.of})</span>}</label>
      {props.children(id, hint)}
      {props.hint && <p class="hint" id={hint}>{props.hint}</p>}
    </div>
  )
}

/** Select is a list to choose from. With the keyboard a choice counts when the list is left or
 *  Enter is pressed: each arrow key on the way would be an edit otherwise. */
export function Select(props: { id?: string; label?: string; hint?: string; value: string; onPick: (v: string) => void; children: ComponentChildren }) {
  const draft = useSignal<string | null>(null)
  const keyed = useRef(false)
  const done = () => {
    const v = draft.value
    draft.value = null
    if (v !== null && v !== props.value) props.onPick(v)
  }
  return (
    <select id={props.id} aria-label={props.label} aria-describedby={props.hint} value={draft.value ?? props.value}
      onPointerDown={() => { keyed.current = false }}
      onKeyDown={(e) => {
        if (e.key === 'Escape' && draft.value !== null) { draft.value = null; e.stopPropagation() }
        if (e.key === 'Enter' && draft.value !== null) { e.preventDefault(); done() }
        keyed.current = e.key !== 'Tab' && e.key !== 'Shift'
      }}
      onBlur={() => { keyed.current = false; done() }}
      onChange={(e) => { if (keyed.current) draft.value = e.currentTarget.value; else props.onPick(e.currentTarget.value) }}>
      {props.children}
    </select>
  )
}

/** Choice is a select; "" is offered as `none` when that is given, and words say a value in
 *  other words than the file's. */
export function Choice(props: { label: string; value: string; of: string[]; words?: Record<string, string>; none?: string; hint?: string; onPick: (v: string) => void }) {
  const known = props.value === '' || props.of.includes(props.value)
  return (
    <Field label={props.label} hint={props.hint}>
      {(id, hint) => (
        <Select id={id} hint={hint} value={props.value} onPick={props.onPick}>
          {props.none !== undefined && <option value="">{props.none}</option>}
          {!known && <option value={props.value}>{props.value}</option>}
          {props.of.map((w) => <option value={w} key={w}>{props.words?.[w] ?? w}</option>)}
        </Select>
      )}
    </Field>
  )
}

/** Input keeps what is being typed until it is left or Enter is pressed, whatever is redrawn
 *  meanwhile; Escape takes it back. */
export function Input(props: { id: string; value: string; hint?: string; placeholder?: string; list?: string; live?: boolean; onDone: (v: string) => void }) {
  const draft = useSignal<string | null>(null)
  const done = () => {
    const v = draft.value?.trim()
    draft.value = null
    if (v !== undefined && v !== props.value) props.onDone(v)
  }
  return (
    <input id={props.id} aria-describedby={props.hint} list={props.list} value={draft.value ?? props.value} placeholder={props.placeholder}
      autocomplete="off" autocapitalize="off" spellcheck={false}
      onInput={(e) => { if (props.live) props.onDone(e.currentTarget.value); else draft.value = e.currentTarget.value }}
      onBlur={done}
      onKeyDown={(e) => {
        if (e.key === 'Enter') done()
        else if (e.key === 'Escape' && draft.value !== null) { draft.value = null; e.stopPropagation() }
      }} />
  )
}

/** Words is a text field that hands its value over when left or with Enter. */
export function Words(props: { label: string; value: string; hint?: string; placeholder?: string; live?: boolean; onDone: (v: string) => void }) {
  return (
    <Field label={props.label} hint={props.hint}>
      {(id, hint) => <Input id={id} hint={hint} value={props.value} placeholder={props.placeholder} live={props.live} onDone={props.onDone} />}
    </Field>
  )
}

/** Usual offers the usual values in a list, and any other by hand. */
export function Usual(props: { label: string; value: string; usual: string[]; words?: Record<string, string>; none: string; hint?: string; placeholder?: string; onPick: (v: string) => void }) {
  const other = useSignal(false)
  if (other.value) {
    return <Words label={props.label} value={props.value} hint={props.hint} placeholder={props.placeholder} onDone={(v) => { other.value = false; props.onPick(v) }} />
  }
  const known = props.value === '' || props.usual.includes(props.value)
  return (
    <Field label={props.label} hint={props.hint}>
      {(id, hint) => (
        <Select id={id} hint={hint} value={props.value} onPick={(v) => { if (v === 'another') other.value = true; else props.onPick(v) }}>
          <option value="">{props.none}</option>
          {!known && <option value={props.value}>{props.value}</option>}
          {props.usual.map((w) => <option value={w} key={w}>{props.words?.[w] ?? w}</option>)}
          <option value="another">Another, by hand</option>
        </Select>
      )}
    </Field>
  )
}

/** Dialog stands over the page, holds the focus and gives it back; Escape closes it. One
 *  without onClose wants a choice. */
export function Dialog(props: { title: string; class?: string; onClose?: () => void; children: ComponentChildren }) {
  const at = useRef<HTMLDialogElement>(null)
  const id = useId()
  useEffect(() => {
    const d = at.current
    if (d && !d.open) d.showModal()
    return () => d?.close()
  }, [])
  return (
    <dialog ref={at} class={props.class} aria-labelledby={id} onCancel={(e) => { e.preventDefault(); props.onClose?.() }}>
      <header class="dialog-head">
        <h2 id={id}>{props.title}</h2>
        {props.onClose && <button class="plain" aria-label="Close" onClick={props.onClose}><Icon name="close" /></button>}
      </header>
      {props.children}
    </dialog>
  )
}

export const severityWord: Record<Severity, string> = { 'error': 'Broken', 'warning': 'To settle', 'not checked': 'Not checked', 'note': 'Note' }

export function Cites({ of }: { of?: Cite[] | null }) {
  if (!of?.length) return null
  return (
    <ul class="cites">
      {of.map((c, i) => (
        <li key={i}>
          {c.title || c.book}{c.at ? ', ' + c.at : ''}
          <span class="layer">{c.kind}{c.memory ? ', from memory: check it' : ''}</span>
          {c.over && <span class="layer">in place of {c.over}</span>}
          {c.conflict && <span class="layer">another source says {c.conflict}</span>}
        </li>
      ))}
    </ul>
  )
}
