// The sheet: the drawing in its frame, with zoom, pan and pinch. What is drawn comes from
// the server; here it is only looked at and touched.
import { useEffect, useRef } from 'preact/hooks'
import { useSignal } from '@preact/signals'
import { panel, pick, picked, pointed, preview, state, thing, walkOf } from './state'
import { Icon } from './parts'

interface Box { x: number; y: number; w: number; h: number }

/** idOf is the thing in the job that an element of the drawing stands for. */
function idOf(el: Element | null): string {
  for (let e = el; e && !(e instanceof SVGSVGElement); e = e.parentElement) {
    const id = e.getAttribute('data-id') ?? e.id
    if (id) return id
  }
  return ''
}

/** nameOf gives the run or vent of an id such as "hall bath lav.arm", "" if there is none. */
export function nameOf(id: string): string {
  for (let end = id.length; end > 0; end--) {
    if ((end === id.length || '.:#/'.includes(id[end])) && thing(id.slice(0, end))) return id.slice(0, end)
  }
  return ''
}

/** findingOf gives the number of the finding that an id is the balloon of, or -1. */
export function findingOf(id: string): number {
  const m = /^(?:finding|balloon)[ .:-]?(\d+)/.exec(id)
  return m ? Number(m[1]) - 1 : -1
}

export function Sheet() {
  const frame = useRef<HTMLDivElement>(null)
  const box = useRef<Box | null>(null)
  const whole = useRef<Box | null>(null)
  const own = useRef(false) // the reader has moved the view
  const zoomed = useSignal(100)
  const shown = preview.value?.svg ?? state.value?.svg ?? ''

  const result = state.value?.result
  const stale = !preview.value && !!result && result.runs.length === 0 && result.faults.length > 0

  const svg = () => frame.current?.querySelector('svg') ?? null
  const show = () => {
    const s = svg(), b = box.current
    if (s && b) {
      s.setAttribute('viewBox', `${b.x} ${b.y} ${b.w} ${b.h}`)
      if (whole.current) zoomed.value = Math.round((100 * whole.current.w) / b.w)
    }
  }
  /** fit shows the pipes, or the whole sheet with its title and lists. */
  const fit = (all = false) => {
    own.current = all
    const s = svg()
    box.current = s && whole.current && (all ? { ...whole.current } : pipesOf(s, whole.current))
    show()
  }
  const zoom = (by: number, at?: { x: number; y: number }) => {
    const s = svg(), b = box.current, wh = whole.current
    if (!s || !b || !wh) return
    own.current = true
    const to = Math.min(wh.w * 1.2, Math.max(wh.w / 40, b.w / by)) / b.w
    const p = at ? toSheet(s, b, at.x, at.y) : { x: b.x + b.w / 2, y: b.y + b.h / 2 }
    box.current = { x: p.x - (p.x - b.x) * to, y: p.y - (p.y - b.y) * to, w: b.w * to, h: b.h * to }
    show()
  }
  const pan = (dx: number, dy: number) => {
    const s = svg(), b = box.current
    if (!s || !b) return
    own.current = true
    const k = scale(s, b)
    box.current = { ...b, x: b.x - dx / k, y: b.y - dy / k }
    show()
  }

  // A new drawing: keep the view unless the paper changed.
  useEffect(() => {
    const host = frame.current
    if (!host) return
    host.innerHTML = shown
    const s = svg()
    if (!s) return
    s.removeAttribute('width')
    s.removeAttribute('height')
    s.setAttribute('preserveAspectRatio', 'xMidYMid meet')
    const v = s.viewBox.baseVal
    const now = { x: v.x, y: v.y, w: v.width, h: v.height }
    const same = whole.current && Math.abs(whole.current.w - now.w) < 0.5 && Math.abs(whole.current.h - now.h) < 0.5
    whole.current = now
    if (!own.current || !same) fit()
    else show()
    mark(s)
  }, [shown])
  const walked = walkOf.value
  useEffect(() => { const s = svg(); if (s) mark(s) }, [picked.value, walked, shown, pointed.value])

  useEffect(() => {
    const host = frame.current
    if (!host) return
    const at = new Map<number, { x: number; y: number }>()
    let moved = 0
    let start = { x: 0, y: 0 }
    const down = (e: PointerEvent) => {
      if (e.button !== 0) return
      at.set(e.pointerId, { x: e.clientX, y: e.clientY })
      if (at.size === 1) { moved = 0; start = { x: e.clientX, y: e.clientY } }
    }
    const move = (e: PointerEvent) => {
      const was = at.get(e.pointerId)
      if (!was) return
      const now = { x: e.clientX, y: e.clientY }
      if (at.size === 1) {
        moved = Math.max(moved, Math.hypot(now.x - start.x, now.y - start.y))
        if (moved > 8) {
          if (!host.hasPointerCapture(e.pointerId)) host.setPointerCapture(e.pointerId)
          pan(now.x - was.x, now.y - was.y)
        }
      } else if (at.size === 2) {
        moved = 99
        const [other] = [...at].filter(([id]) => id !== e.pointerId).map(([, p]) => p)
        const before = Math.hypot(was.x - other.x, was.y - other.y)
        const after = Math.hypot(now.x - other.x, now.y - other.y)
        if (before > 0) zoom(after / before, { x: (now.x + other.x) / 2, y: (now.y + other.y) / 2 })
        pan((now.x - was.x) / 2, (now.y - was.y) / 2)
      }
      at.set(e.pointerId, now)
    }
    const up = (e: PointerEvent) => {
      const had = at.delete(e.pointerId)
      if (had && moved <= 8 && e.type === 'pointerup' && at.size === 0) touch(e.clientX, e.clientY)
    }
    const wheel = (e: WheelEvent) => {
      e.preventDefault()
      zoom(Math.exp(-e.deltaY / (e.ctrlKey ? 120 : 480)), { x: e.clientX, y: e.clientY })
    }
    host.addEventListener('pointerdown', down)
    host.addEventListener('pointermove', move)
    host.addEventListener('pointerup', up)
    host.addEventListener('pointercancel', up)
    host.addEventListener('wheel', wheel, { passive: false })
    return () => {
      host.removeEventListener('pointerdown', down)
      host.removeEventListener('pointermove', move)
      host.removeEventListener('pointerup', up)
      host.removeEventListener('pointercancel', up)
      host.removeEventListener('wheel', wheel)
    }
  }, [])

  // A finger is wider than a pipe: look around the place touched, nearest first.
  const touch = (x: number, y: number) => {
    const host = frame.current
    for (const r of [0, 5, 10, 16, 22]) {
      for (let i = 0; i < (r ? 12 : 1); i++) {
        const a = (i * Math.PI) / 6
        for (const el of document.elementsFromPoint(x + r * Math.cos(a), y + r * Math.sin(a))) {
          if (!host?.contains(el) || el === host || el instanceof SVGSVGElement) continue
          const id = idOf(el)
          const f = findingOf(id)
          if (f >= 0 && f < (state.value?.result.findings.length ?? 0)) {
            pointed.value = f
            panel.value = state.value?.result.findings[f].severity === 'not checked' ? 'questions' : 'findings'
            return
          }
          const name = nameOf(id)
          if (name) { pick(name); return }
        }
      }
    }
    pick('', false)
  }

  const keys = (e: KeyboardEvent) => {
    const far = e.shiftKey ? 160 : 40
    switch (e.key) {
      case 'ArrowLeft': pan(far, 0); break
      case 'ArrowRight': pan(-far, 0); break
      case 'ArrowUp': pan(0, far); break
      case 'ArrowDown': pan(0, -far); break
      case '+': case '=': zoom(1.25); break
      case '-': zoom(0.8); break
      case '0': fit(!own.current && zoomed.value > 100); break
      default: return
    }
    e.preventDefault()
  }

  return (
    <section class="sheet-pane" aria-label="Drawing">
      <div class={'frame' + (preview.value ? ' previewed' : '')}>
        <div class="drawing" ref={frame} tabIndex={0} role="application" onKeyDown={keys}
          aria-label="Riser drawing. Arrow keys move it, plus and minus zoom, zero fits it. The list of pipes beside it says the same in words." />
        {shown && stale && <p class="stale" role="status">The file cannot be read as it stands. This is the drawing of the last text that could be.</p>}
        {!shown && <p class="blank">Nothing is drawn yet. Add a fixture or a room, and it appears here.</p>}
      </div>
      <div class="zoom" role="group" aria-label="View">
        <button onClick={() => zoom(1.4)} aria-label="Zoom in"><Icon name="plus" /></button>
        <button onClick={() => zoom(1 / 1.4)} aria-label="Zoom out"><Icon name="minus" /></button>
        <button onClick={() => fit(!own.current && zoomed.value > 100)} aria-label={`Fit the pipes, or the whole sheet; now ${zoomed.value} percent`}><Icon name="fit" /></button>
      </div>
    </section>
  )
}

/** pipesOf is the part of the sheet where the pipes and their labels are. */
function pipesOf(s: SVGSVGElement, all: Box): Box {
  let x0 = Infinity, y0 = Infinity, x1 = -Infinity, y1 = -Infinity
  for (const e of s.querySelectorAll<SVGGraphicsElement>('[id]')) {
    const id = e.getAttribute('data-id') ?? e.id
    if (e.parentElement !== (s as Element) || !(nameOf(id) || id === 'outlet' || id === 'outlet.label' || findingOf(id) >= 0)) continue
    const b = e.getBBox()
    x0 = Math.min(x0, b.x); y0 = Math.min(y0, b.y); x1 = Math.max(x1, b.x + b.width); y1 = Math.max(y1, b.y + b.height)
  }
  if (!(x1 > x0) || !(y1 > y0)) return { ...all }
  const m = 0.02 * Math.max(x1 - x0, y1 - y0) + 4
  // A short pipe alone is not blown up to fill the room.
  const w = Math.max(x1 - x0 + 2 * m, 140), h = Math.max(y1 - y0 + 2 * m, 90)
  return { x: (x0 + x1 - w) / 2, y: (y0 + y1 - h) / 2, w, h }
}

function scale(s: SVGSVGElement, b: Box): number {
  const r = s.getBoundingClientRect()
  return Math.min(r.width / b.w, r.height / b.h) || 1
}

function toSheet(s: SVGSVGElement, b: Box, x: number, y: number) {
  const r = s.getBoundingClientRect()
  const k = scale(s, b)
  return { x: b.x + b.w / 2 + (x - r.left - r.width / 2) / k, y: b.y + b.h / 2 + (y - r.top - r.height / 2) / k }
}

/** mark shows on the drawing what is picked and where the water goes. */
function mark(s: SVGSVGElement) {
  for (const e of s.querySelectorAll('.picked, .wet')) e.classList.remove('picked', 'wet')
  const wet = new Set<string>()
  if (walkOf.value !== null) for (const n of way(walkOf.value)) wet.add(n)
  if (!picked.value && wet.size === 0 && pointed.value < 0) return
  for (const e of s.querySelectorAll('[id]')) {
    const id = e.getAttribute('data-id') ?? e.id
    if (pointed.value >= 0 && findingOf(id) === pointed.value) e.classList.add('picked')
    const name = nameOf(id)
    if (!name) continue
    if (name === picked.value) e.classList.add('picked')
    else if (wet.has(name)) e.classList.add('wet')
  }
}

/** way lists the runs from one to the outlet, as the result says what joins what. */
function way(from: string): string[] {
  const joins = new Map(state.value?.result.runs.map((r) => [r.name, r.joins]))
  const out: string[] = []
  for (let n: string | undefined = from; n && joins.has(n) && !out.includes(n); n = joins.get(n)) out.push(n)
  return out
}
