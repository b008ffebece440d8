package propose_test

import (
	"testing"

	"trapweir/engine"
	"trapweir/engine/propose"
)

// Every proposal over the whole corpus holds when it is made by hand.
func TestProposalsHold(t *testing.T) {
	d := shelves(t)
	offered, cured, findings := 0, 0, 0
	for _, s := range corpus(t) {
		in := engine.Input{Name: s.name, Text: s.text}
		r := engine.Run(d, in)
		if !r.Solved() {
			t.Errorf("%s is not solved: %v", s.name, r.Faults)
			continue
		}
		set := propose.For(d, in, r, "")
		if set.Runs > propose.MostRuns+2 {
			t.Errorf("%s: the engine ran %d times", s.name, set.Runs)
		}
		for i := range set.Answers {
			a := &set.Answers[i]
			findings++
			if len(a.Proposals) > 0 {
				cured++
			}
			t.Logf("%s: %s @%s: %s", s.name, a.Finding.Rule, a.Finding.On.Name, a.Finding.Message)
			for k := range a.Proposals {
				offered++
				holds(t, d, s, r, a, &a.Proposals[k])
				p := &a.Proposals[k]
				t.Logf("    %d %s | %s | %v %d %v about=%v if=%v asks=%d removes=%v", p.Number, p.ID, p.Do, p.Cost.Pipe, p.Cost.Fittings, p.Cost.Enlarged, p.Cost.About, p.If, len(p.Asks), p.Removes[1:])
			}
			for _, x := range a.Advice {
				t.Logf("    advice: %s", x)
			}
		}
		t.Logf("%s: runs %d", s.name, set.Runs)
	}
	t.Logf("%d findings, %d with a proposal, %d proposals", findings, cured, offered)
}
