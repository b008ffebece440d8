package report

import (
	"fmt"
	"io"
	"strings"

	"trapweir/engine"
	"trapweir/engine/site"
	"trapweir/shelf"
)

// SitePage is what to look at on the site of a job, as JSON.
type SitePage struct {
	Format  string      `json:"format"`
	Checks  []site.Item `json:"checks"`
	Caution string      `json:"caution"`
}

// SiteChecks lists what no job tells and the eye must see on the site of this one, in the
// order in which it is seen. It is empty for a job that is not solved.
func SiteChecks(r *engine.Result) []site.Item {
	checks, _ := shelf.SiteChecks()
	return site.For(checks, r)
}

// SiteDoc wraps the site checks of a job.
func SiteDoc(r *engine.Result) SitePage {
	p := SitePage{Format, SiteChecks(r), Caution}
	if p.Checks == nil {
		p.Checks = []site.Item{}
	}
	return p
}

// Site prints the site checks of a job as a list to tick.
func Site(w io.Writer, r *engine.Result) {
	heading(w, r)
	items := SiteChecks(r)
	phase := ""
	for i := range items {
		x := &items[i]
		if x.Phase != phase {
			if phase != "" {
				fmt.Fprintln(w)
			}
			phase = x.Phase
			fmt.Fprintln(w, strings.ToUpper(phase))
		}
		wrapped(w, SiteWords(x), "  [ ] ", "      ")
	}
	if len(items) == 0 {
		fmt.Fprintln(w, "Nothing in this job has cause for a check on the site.")
	} else {
		fmt.Fprintln(w)
		wrapped(w, "These are seen on the site, where no job tells them; what the job tells is checked by `trapweir check`.", "", "")
	}
	wrapped(w, Caution, "", "")
}

// SiteWords is one check in a line: what to look at, on what, and where it is printed.
func SiteWords(x *site.Item) string {
	s := x.Look
	if len(x.On) > 0 {
		s += " (" + someOf(x.On, 4) + ")"
	}
	return s + " [" + printedAt(&x.Cite) + "]"
}
