// The text of the job in an editor, with what is wrong at its place.
import { signal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import { autocompletion, CompletionContext, completionKeymap } from '@codemirror/autocomplete'
import { defaultKeymap } from '@codemirror/commands'
import { yaml } from '@codemirror/lang-yaml'
import { bracketMatching, HighlightStyle, indentOnInput, syntaxHighlighting } from '@codemirror/language'
import { Diagnostic, lintGutter, lintKeymap, setDiagnostics } from '@codemirror/lint'
import { highlightSelectionMatches, search, searchKeymap } from '@codemirror/search'
import { Compartment, EditorState, Text, Transaction } from '@codemirror/state'
import { drawSelection, EditorView, highlightActiveLine, highlightActiveLineGutter, keymap, lineNumbers } from '@codemirror/view'
import { tags } from '@lezer/highlight'
import { Finding, Key, placeOf } from './api'
import { flush, forms, names, redo, showText, state, type, undo } from './state'

/** lineToShow is a line that another pane wants seen. */
export const lineToShow = signal(0)

const inks = HighlightStyle.define([
  { tag: tags.comment, color: 'var(--soft)', fontStyle: 'italic' },
  { tag: [tags.propertyName, tags.definition(tags.propertyName)], color: 'var(--blue)' },
  { tag: [tags.string, tags.content], color: 'var(--ink)' },
  { tag: [tags.separator, tags.squareBracket, tags.brace, tags.punctuation], color: 'var(--soft)' },
])

const look = EditorView.theme({
  '&': { height: '100%', fontSize: '15px', backgroundColor: 'var(--paper)', color: 'var(--ink)' },
  '.cm-scroller': { fontFamily: 'ui-monospace, "DejaVu Sans Mono", monospace', lineHeight: '1.55' },
  '.cm-content': { caretColor: 'var(--ink)' },
  '&.cm-focused': { outline: '2px solid var(--blue)', outlineOffset: '-2px' },
  '.cm-gutters': { backgroundColor: 'var(--paper)', color: 'var(--soft)', borderRight: '1px solid var(--rule)' },
  '.cm-activeLine, .cm-activeLineGutter': { backgroundColor: 'var(--wash)' },
  '.cm-cursor': { borderLeftColor: 'var(--ink)' },
  '&.cm-focused > .cm-scroller > .cm-selectionLayer .cm-selectionBackground, .cm-selectionBackground': { backgroundColor: 'var(--pick)' },
  '.cm-tooltip': { backgroundColor: 'var(--paper)', color: 'var(--ink)', border: '1px solid var(--rule)' },
  '.cm-tooltip-autocomplete ul li[aria-selected]': { backgroundColor: 'var(--blue)', color: 'var(--paper)' },
  '.cm-panels': { backgroundColor: 'var(--paper)', color: 'var(--ink)' },
})

/** complete offers the keys of where the cursor stands, their words, and names of runs. */
function complete(c: CompletionContext) {
  const f = forms.value
  const word = c.matchBefore(/[\w][\w -]*/)
  if (!f || (!word && !c.explicit)) return null
  const line = c.state.doc.lineAt(c.pos)
  const before = line.text.slice(0, c.pos - line.from)
  let heading = ''
  for (let n = line.number - 1; n > 0 && !heading; n--) heading = /^(\w[\w ]*):/.exec(c.state.doc.line(n).text)?.[1] ?? ''
  const inside = /^\s/.test(before)
  const keys: Key[] = inside && (heading === 'runs' || heading === 'vents' || heading === 'levels') ? f.keys[heading] : inside ? (f.keys.top.find((k) => k.name === heading)?.keys ?? []) : f.keys.top
  const key = /(?:^|[{,\s])([a-z][a-z ]*):\s*[^,{}]*$/.exec(before)?.[1]
  const from = word?.from ?? c.pos
  const value = key && keys.find((k) => k.name === key.trim())
  if (value) {
    const words = value.name === 'joins' || value.name === 'from' ? names() : (value.words ?? [])
    return words.length ? { from, options: words.map((label) => ({ label })) } : null
  }
  return { from, options: keys.map((k) => ({ label: k.name, info: k.say, apply: k.name + ': ' })) }
}

export function Editor() {
  const host = useRef<HTMLDivElement>(null)
  const view = useRef<EditorView | null>(null)
  const breaks = useRef(new Compartment())
  useEffect(() => {
    if (!host.current) return
    const text = showText.value?.text ?? state.value?.text ?? ''
    view.current = new EditorView({
      parent: host.current,
      state: EditorState.create({
        doc: Text.of(text.split(lineBreak(text))),
        extensions: [
          breaks.current.of(EditorState.lineSeparator.of(lineBreak(text))),
          lineNumbers(), highlightActiveLine(), highlightActiveLineGutter(), drawSelection(), indentOnInput(), bracketMatching(),
          yaml(), syntaxHighlighting(inks), lintGutter(), EditorView.lineWrapping, search(), highlightSelectionMatches(), look,
          autocompletion({ override: [complete], activateOnTyping: true }),
          EditorView.contentAttributes.of({ 'aria-label': 'Text of the job', tabindex: '0' }),
          keymap.of([
            { key: 'Mod-z', run: () => { void undo(); return true } },
            { key: 'Mod-y', run: () => { void redo(); return true } },
            { key: 'Mod-Shift-z', run: () => { void redo(); return true } },
            { key: 'Mod-s', run: () => { void flush(); return true } },
            ...completionKeymap, ...searchKeymap, ...lintKeymap, ...defaultKeymap,
          ]),
          EditorView.updateListener.of((u) => {
            if (u.docChanged && !u.transactions.some((t) => t.annotation(Transaction.remote))) type(u.state.sliceDoc())
          }),
        ],
      }),
    })
    return () => { view.current?.destroy(); view.current = null }
  }, [])

  // A text that did not come from here: change only what differs, so that the cursor stays.
  useEffect(() => {
    const v = view.current, text = showText.value?.text
    if (!v || text === undefined) return
    const sep = lineBreak(text)
    const now = v.state.sliceDoc()
    if (now === text) return
    if (v.state.lineBreak !== sep) v.dispatch({ effects: breaks.current.reconfigure(EditorState.lineSeparator.of(sep)) })
    const a = v.state.doc.toString(), b = text.split(sep).join('\n')
    let from = 0
    while (from < a.length && from < b.length && a[from] === b[from]) from++
    let end = 0
    while (end < a.length - from && end < b.length - from && a[a.length - 1 - end] === b[b.length - 1 - end]) end++
    v.dispatch({
      changes: { from, to: a.length - end, insert: Text.of(b.slice(from, b.length - end).split('\n')) },
      annotations: [Transaction.remote.of(true)],
    })
  }, [showText.value])

  // What is said, where it is said.
  useEffect(() => {
    const v = view.current, s = state.value
    if (!v || !s || v.state.sliceDoc() !== s.text) return
    const out: Diagnostic[] = []
    for (const f of [...s.result.faults, ...s.result.findings]) {
      const d = place(v.state.doc, f)
      if (d) out.push(d)
    }
    v.dispatch(setDiagnostics(v.state, out))
  }, [state.value, showText.value])

  useEffect(() => {
    const v = view.current, n = lineToShow.value
    if (!v || !n || n > v.state.doc.lines) return
    const line = v.state.doc.line(n)
    v.dispatch({ selection: { anchor: line.from }, effects: EditorView.scrollIntoView(line.from, { y: 'center' }) })
    v.focus()
    lineToShow.value = 0
  }, [lineToShow.value])

  return <div class="editor" ref={host} />
}

const lineBreak = (text: string) => (text.includes('\r\n') && !/[^\r]\n/.test(text) ? '\r\n' : '\n')

/** place gives the stretch that a finding is about; columns count whole characters. */
function place(doc: Text, f: Finding): Diagnostic | null {
  const at = placeOf(f.at)
  if (!at.line || at.line > doc.lines) return null
  const line = doc.line(at.line)
  const off = (col: number) => Math.min(line.to, line.from + [...line.text].slice(0, Math.max(0, col - 1)).join('').length)
  const from = off(at.col), to = Math.max(off(at.end), Math.min(from + 1, line.to))
  return {
    from, to, severity: f.severity === 'error' ? 'error' : f.severity === 'warning' ? 'warning' : 'info',
    message: [f.message, f.ask, f.try && 'Instead: ' + f.try].filter((x) => x).join('\n'),
  }
}
