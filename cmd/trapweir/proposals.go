package main

import (
	"fmt"
	"strings"

	"trapweir/engine"
	"trapweir/engine/propose"
)

// proposal is a change that settles a finding, as the page shows it.
type proposal struct {
	Title string   `json:"title"`
	About string   `json:"about"` // the finding that it cures
	Care  string   `json:"care,omitempty"`
	Cost  string   `json:"cost,omitempty"`
	Also  int      `json:"also"` // further findings that go with it
	Asks  []string `json:"asks,omitempty"`
	Text  string   `json:"text"` // the job with it made
}

// proposals lists the changes that settle what is wrong with a job, each once.
func proposals(d engine.Data, name string, text []byte) (any, error) {
	in := engine.Input{Name: name, Text: text}
	set := propose.For(d, in, engine.Run(d, in), "")
	out := []proposal{}
	seen := map[int]bool{}
	for _, a := range set.Answers {
		for i := range a.Proposals {
			p := &a.Proposals[i]
			if seen[p.Number] {
				continue
			}
			seen[p.Number] = true
			out = append(out, proposal{p.Do, a.Finding.Message, p.Care, costWords(p.Cost), max(0, len(p.Removes)-1), p.Asks, string(p.Text())})
		}
	}
	return out, nil
}

func costWords(c propose.Cost) string {
	var parts []string
	if c.Pipe > 0 {
		parts = append(parts, c.Pipe.String()+" of pipe")
	}
	switch {
	case c.Fittings == 1:
		parts = append(parts, "1 fitting")
	case c.Fittings > 1:
		parts = append(parts, fmt.Sprint(c.Fittings, " fittings"))
	}
	if c.Enlarged > 0 {
		parts = append(parts, c.Enlarged.String()+" larger or laid anew")
	}
	if len(parts) == 0 {
		return ""
	}
	words := "takes " + strings.Join(parts, ", ")
	if c.About {
		words += ", about"
	}
	return words
}
