// Two texts of one job: what is here, and what the file says now. Neither is lost.
import { Dialog } from './parts'
import { conflict, settle } from './state'

export function Conflict() {
  const c = conflict.value
  if (!c) return null
  const mine = c.mine.split('\n'), theirs = c.theirs.text.split('\n')
  const [a, b] = [new Set(theirs), new Set(mine)]
  const side = (lines: string[], other: Set<string>, title: string) => (
    <section aria-label={title}>
      <h3>{title}</h3>
      <pre tabIndex={0} aria-label={title + ', text'}>{lines.map((l, i) => <span key={i} class={other.has(l) ? '' : 'differs'}>{l + '\n'}</span>)}</pre>
    </section>
  )
  return (
    <Dialog title="The file was changed elsewhere" class="conflict">
      <p>Another window or program saved this job while it was changed here. Lines that only one of them has are marked. Whichever you take, the other is kept.</p>
      <div class="sides">
        {side(mine, a, 'Here')}
        {side(theirs, b, 'In the file')}
      </div>
      <div class="dialog-foot">
        <button onClick={() => void settle(false)}>Take the file's (undo brings mine back)</button>
        <button class="main" onClick={() => void settle(true)}>Keep mine (the file's stays a version)</button>
      </div>
    </Dialog>
  )
}
