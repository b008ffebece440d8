package main
import ("testing";"fmt";"context";"github.com/chromedp/chromedp";"github.com/chromedp/cdproto/performance";"github.com/chromedp/cdproto/cdp")
func TestZZ(t *testing.T){
	in := browser(t)
	for _, job := range []struct{name, text string}{{"house", example(t, "heron-lane")},{"building",building(500)}} {
		folder, url := bench(t, "job", job.text)
		p := window(t, in, folder, url)
		p.open("job")
		p.wait("document.querySelector('.drawing svg') && tw.rev()")
		p.press("document.querySelector('.pane .line')")
		p.wait("tw.field('Slope of its level legs')")
		p.do(func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
			_, err := chromedp.Call(ctx, performance.Enable, performance.EnableParams{TimeDomain: "threadTicks"})
			return chromedp.Void{}, err })
		get := func() map[string]float64 { m := map[string]float64{}
		p.do(func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
			r, err := chromedp.Call(ctx, performance.GetMetrics, cdp.Empty{})
			if err==nil { for _,x:=range r.Metrics { m[x.Name]=x.Value } }
			return chromedp.Void{}, err }); return m }
		a:=get()
		n:=10
		_, err := chromedp.Run(p.ctx, chromedp.Evaluate[[]string](helpers+fmt.Sprintf(`(async () => {
			const out = [];
			for (let i = 0; i < %d; i++) {
				const e = tw.field('Slope of its level legs'), rev = tw.rev();
				e.value = i %% 2 ? '1/4" per ft' : '1/2" per ft';
				e.dispatchEvent(new Event('change', { bubbles: true }));
				while (tw.rev() === rev || document.querySelector('.saving').textContent!=='Saved') {await new Promise(r=>setTimeout(r,50))}
				await new Promise(r=>setTimeout(r,300))
			}
			return out })()`, n), chromedp.EvalAwaitPromise))
		if err != nil { t.Fatal(err) }
		b:=get()
		for _,k:=range []string{"TaskDuration","ScriptDuration","LayoutDuration","RecalcStyleDuration","LayoutCount","RecalcStyleCount","V8CompileDuration"} { fmt.Printf("%s %s %.2f\n",job.name,k,(b[k]-a[k])*1000/float64(n)) }
	}
}
