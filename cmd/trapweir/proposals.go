package main

import (
	"trapweir/engine"
	"trapweir/engine/propose"
	"trapweir/report"
	"trapweir/shelf"
)

// proposal is a change that settles a finding, as the page shows it.
type proposal struct {
	Title   string   `json:"title"`
	About   string   `json:"about"` // the finding that it cures
	Care    string   `json:"care,omitempty"`
	Cost    string   `json:"cost,omitempty"`
	Legal   string   `json:"legal,omitempty"`   // why it is legal under the book, with where that is printed
	Changes string   `json:"changes,omitempty"` // what else becomes another size
	Reserve string   `json:"reserve,omitempty"` // what speaks against it
	Also    int      `json:"also"`              // further findings that go with it
	Asks    []string `json:"asks,omitempty"`
	If      bool     `json:"if,omitempty"` // whether it cures hangs on an answer
	Text    string   `json:"text"`         // the job with it made
}

// noProposal is a finding that no change to the job cures.
type noProposal struct {
	About  string   `json:"about"`
	Advice []string `json:"advice,omitempty"`
	Decide string   `json:"decide,omitempty"` // what a person must decide
	// Tried are ways that do not do and what they would bring; Untried counts those that
	// were not tried.
	Tried   []propose.Tried `json:"tried,omitempty"`
	Untried int             `json:"untried,omitempty"`
}

// proposed is the answer to the page: each change once, and what a person must settle.
type proposed struct {
	Changes []proposal   `json:"changes"`
	People  []noProposal `json:"people"`
}

// proposals lists the changes that settle what is wrong with a job, each once.
func proposals(d engine.Data, name string, text []byte) (any, error) {
	in := engine.Input{Name: name, Text: text}
	effort, _ := shelf.Effort("", nil)
	r := engine.Run(d, in)
	set := propose.For(d, in, r, "", effort)
	out := proposed{[]proposal{}, []noProposal{}}
	seen := map[int]bool{}
	for _, a := range set.Answers {
		if len(a.Proposals) == 0 && (len(a.Advice) > 0 || a.Decide != "") {
			out.People = append(out.People, noProposal{a.Finding.Message, a.Advice, a.Decide, a.Tried, a.Untried})
		}
		for i := range a.Proposals {
			p := &a.Proposals[i]
			if seen[p.Number] {
				continue
			}
			seen[p.Number] = true
			x := proposal{
				Title: p.Do, About: a.Finding.Message, Care: p.Care, Cost: report.CostWords(p.Cost, r.Job.Units), Changes: report.ChangeWords(p.Changes),
				Reserve: p.Reserve, Also: max(0, len(p.Removes)-1), Asks: p.Asks, If: p.If, Text: string(p.Text()),
			}
			if len(p.Grounds) > 0 {
				x.Legal = report.GroundWords(&p.Grounds[0])
			}
			out.Changes = append(out.Changes, x)
		}
	}
	return out, nil
}
