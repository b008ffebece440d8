package takeoff

import (
	"trapweir/engine/codebook"
	"trapweir/engine/framing"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// braced lists what keeps large pipe from swaying and what carries the foot of a stack, where
// the book asks for it.
func (t *taker) braced(fr *framing.Framing) {
	for i := range fr.Braces {
		x := &fr.Braces[i]
		l := t.b.line(t.phaseEnd(x.Seg), "hangers and straps", "", "sway brace", x.Size.Short(), []unit.Size{x.Size}, Each)
		if x.Cite != nil {
			l.Note = "at turns of large pipe, " + x.Cite.Book + " " + x.Cite.At
		}
		l.add(who{t.net.Runs[x.Run].Name, false}, 1)
	}
	for i := range fr.Feet {
		x := &fr.Feet[i]
		if x.Size == 0 {
			continue // listed with the pipe
		}
		l := t.b.line(t.phaseSeg(x.Seg), "hangers and straps", "", "support at the foot of a stack", x.Size.Short(), []unit.Size{x.Size}, Each)
		if x.Cite != nil {
			l.Note = "one at the base of each stack, " + x.Cite.Book + " " + x.Cite.At
		}
		l.add(who{t.net.Runs[x.Run].Name, false}, 1)
	}
}

// plastic: pipe that moves so much with its warmth that books ask for room.
func plastic(material string) bool { return material == "pvc" || material == "abs" }

// expansion asks how long straight plastic pipe gets the room to expand that the book asks
// for: by a joint that slides or by an offset is the plumber's choice.
func (t *taker) expansion(fr *framing.Framing) {
	if t.book == nil {
		return
	}
	every := t.book.Param("support.expansion-every")
	if every.State != codebook.Given || every.Length <= 0 {
		return
	}
	for i := 0; i < len(fr.Held); i++ {
		h := &fr.Held[i]
		if !plastic(h.Material) || !h.Known || h.Size == 0 {
			continue
		}
		// One straight line may be of several sizes.
		length := h.Length
		for i+1 < len(fr.Held) && sameLine(t.net, h, &fr.Held[i+1]) {
			i++
			length += fr.Held[i].Length
		}
		if length <= every.Length {
			continue
		}
		w, ph := t.whoHeld(h)
		n := int64((length - 1) / every.Length)
		t.open(Open{
			Phase: ph, What: "expansion joint or offset", Runs: []string{w.name}, Size: h.Size.Short(), Material: h.Material,
			Why: length.In(t.net.Job.Units) + " of straight plastic, and " + every.Cite.Book + " " + every.Cite.At + " asks for room to expand every " + every.Length.In(t.net.Job.Units) + ": " + itoa(n) + " places",
			Ask: "how is the room made, by a joint that slides or by an offset?",
		})
	}
}

// sameLine: the second stretch goes straight on from the first, in another size.
func sameLine(n *network.Net, a, b *framing.Held) bool {
	if a.Run == network.None || a.Run != b.Run || a.Level != b.Level || !b.Known {
		return false
	}
	return straight(n.Segs[a.Seg].Way, n.Segs[b.Seg].Way)
}
