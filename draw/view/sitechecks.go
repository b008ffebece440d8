package view

import (
	"strings"

	"trapweir/engine/site"
	"trapweir/report"
)

// sitePage lists what no job tells and the eye must see on the site, as boxes to tick, in
// the order in which it is seen.
func sitePage(p *pager, items []site.Item) {
	p.heading("To look at on the site", 24)
	if len(items) == 0 {
		p.words("Nothing in this job has cause for a check on the site.", 0, false)
		return
	}
	p.words("No job tells these; whoever stands there sees them. What the job tells is checked on the other sheets.", 0, false)
	for from := 0; from < len(items); {
		phase := items[from].Phase
		var list []toTick
		for ; from < len(items) && items[from].Phase == phase; from++ {
			list = append(list, toTick{text: report.SiteWords(&items[from])})
		}
		p.heading(strings.ToUpper(phase[:1])+phase[1:], p.least(list))
		p.ticks(list)
	}
}
