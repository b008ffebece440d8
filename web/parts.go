package web

import (
	"bytes"
	"net/http"
	"slices"
)

// Parts is an SVG taken apart: the head with its titles and style, and the elements of the
// sheet one by one. A page that has a drawing already is sent those that differ from it.
type Parts struct {
	Head string `json:"head"`
	Key  string `json:"key"` // names the drawing by what it shows
	// Base is the key of the drawing that Order counts in, "" for none.
	Base string `json:"base,omitempty"`
	// Order are the elements from back to front: which one of the base, -1 for the next of
	// Fresh. Without a base it is left out and Fresh are all.
	Order []int    `json:"order,omitempty"`
	Fresh []string `json:"fresh"`
	all   []string
}

// apart takes an SVG apart. What is not one as the writer makes them stays whole, as a head
// without parts.
func apart(svg []byte) Parts {
	p := Parts{Head: string(svg), Key: revOf(svg), Fresh: []string{}}
	end := bytes.LastIndex(svg, []byte("</svg>"))
	at := bytes.Index(svg, []byte("</style>"))
	if at < 0 || end < at {
		return p
	}
	at += len("</style>")
	var parts []string
	start, depth := -1, 0
	for i := at; i < end; i++ {
		if svg[i] != '<' {
			continue
		}
		close := endOfTag(svg[:end], i)
		if close < 0 {
			return p
		}
		if depth == 0 {
			start = i
		}
		switch {
		case svg[i+1] == '/':
			depth--
		case svg[close-1] != '/':
			depth++
		}
		if depth < 0 {
			return p
		}
		i = close
		if depth == 0 {
			parts = append(parts, string(svg[start:close+1]))
		}
	}
	if depth != 0 {
		return p
	}
	p.Head, p.all, p.Fresh = string(svg[:at]), parts, parts
	return p
}

// endOfTag gives where the tag that begins at i ends, -1 if it does not.
func endOfTag(svg []byte, i int) int {
	quoted := false
	for j := i + 1; j < len(svg); j++ {
		switch svg[j] {
		case '"':
			quoted = !quoted
		case '>':
			if !quoted {
				return j
			}
		}
	}
	return -1
}

// drawnKept bounds how many drawings are kept to tell what differs.
const drawnKept = 6

// drawn remembers a drawing that is sent, and leaves out what the page has of it: that of the
// drawing whose key it gave.
func (s *Server) drawn(p Parts, has string) Parts {
	s.mu.Lock()
	defer s.mu.Unlock()
	whole := p
	for i, o := range s.sent {
		if o.Key == has && has != "" && o.Head == p.Head {
			p = p.over(&s.sent[i])
		}
	}
	s.sent = slices.DeleteFunc(s.sent, func(o Parts) bool { return o.Key == p.Key })
	s.sent = append([]Parts{whole}, s.sent[:min(len(s.sent), drawnKept-1)]...)
	return p
}

// over tells a drawing by what differs from another. Of elements that are alike each stands
// for one.
func (p Parts) over(o *Parts) Parts {
	at := make(map[string][]int, len(o.all))
	for k, x := range o.all {
		at[x] = append(at[x], k)
	}
	p.Base, p.Order, p.Fresh = o.Key, make([]int, 0, len(p.all)), []string{}
	for _, x := range p.all {
		if ks := at[x]; len(ks) > 0 {
			p.Order = append(p.Order, ks[0])
			at[x] = ks[1:]
			continue
		}
		p.Order = append(p.Order, -1)
		p.Fresh = append(p.Fresh, x)
	}
	return p
}

// hasOf is the key of the drawing that a page has.
func hasOf(r *http.Request) string { return r.Header.Get("Has-Drawing") }
