package main

import (
	"context"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"trapweir/web"
)

// A page is one window of a real browser on a workbench of its own. Its methods act as a
// person does, by the names that are on the screen, and end the test when they cannot.
type page struct {
	t      testing.TB
	ctx    context.Context
	folder string
	url    string
	mu     sync.Mutex
	thrown []string
}

// patience is how long a condition is waited for.
const patience = 15 * time.Second

// browser starts Chromium, once for all windows of a test.
func browser(t testing.TB) context.Context {
	t.Helper()
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		t.Skip("NOT TESTED: the page, as there is no chromium on this machine (apt-get install chromium)")
	}
	flags := []chromedp.ExecAllocatorOption{
		chromedp.ExecPath(path), chromedp.NoFirstRun, chromedp.NoDefaultBrowserCheck, chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-dev-shm-usage", true),
		chromedp.WindowSize(1366, 860),
	}
	a, stop := chromedp.NewExecAllocator(context.Background(), flags...)
	t.Cleanup(stop)
	ctx, end := chromedp.NewContext(a)
	t.Cleanup(end)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal("the browser does not start: ", err)
	}
	return ctx
}

// bench serves a folder of jobs (name, text, name, text ...) and gives its address.
func bench(t testing.TB, jobs ...string) (folder, url string) {
	t.Helper()
	folder = t.TempDir()
	for i := 0; i+1 < len(jobs); i += 2 {
		write(t, filepath.Join(folder, jobs[i]+jobSuffix), jobs[i+1])
	}
	opt := workbench(folder, "")
	opt.Hosts = []string{"127.0.0.1"}
	s := web.New(opt)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	h := &http.Server{Handler: s.Handler()}
	go func() { _ = h.Serve(l) }()
	t.Cleanup(func() { s.Close(); h.Close() })
	return folder, "http://" + l.Addr().String() + "/"
}

// heron opens Heron Lane on a workbench of its own.
func heron(t testing.TB) *page {
	t.Helper()
	in := browser(t)
	folder, url := bench(t, "heron-lane", example(t, "heron-lane"))
	p := window(t, in, folder, url)
	p.open("heron-lane")
	return p
}

// window opens another window of the browser.
func window(t testing.TB, in context.Context, folder, url string) *page {
	t.Helper()
	ctx, end := chromedp.NewContext(in, chromedp.WithNewBrowserContext())
	t.Cleanup(end)
	p := &page{t: t, ctx: ctx, folder: folder, url: url}
	if err := chromedp.Do(ctx); err != nil { // the window lives as long as this context
		t.Fatal(err)
	}
	p.do(chromedp.EmulateViewport(1366, 860))
	err := chromedp.Listen(ctx, func(ev any) {
		p.mu.Lock()
		defer p.mu.Unlock()
		switch e := ev.(type) {
		case *runtime.EventExceptionThrown:
			p.thrown = append(p.thrown, e.ExceptionDetails.Text+fmt.Sprint(e.ExceptionDetails.Exception))
		case *runtime.EventConsoleAPICalled:
			if e.Type == "error" {
				b, _ := json.Marshal(e.Args)
				p.thrown = append(p.thrown, string(b))
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		p.mu.Lock()
		defer p.mu.Unlock()
		for _, x := range p.thrown {
			t.Error("the page says: ", x)
		}
	})
	p.do(chromedp.Navigate(url))
	return p
}

func (p *page) do(steps ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	ctx, stop := context.WithTimeout(p.ctx, 2*patience)
	defer stop()
	if err := chromedp.Do(ctx, steps...); err != nil {
		p.t.Fatal(err)
	}
}

// eval gives what an expression of the page is.
func eval[T any](p *page, expression string) T {
	p.t.Helper()
	v, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](helpers+expression))
	if err != nil {
		p.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// wait waits until an expression is true.
func (p *page) wait(expression string) {
	p.t.Helper()
	for end := time.Now().Add(patience); ; time.Sleep(5 * time.Millisecond) {
		if eval[bool](p, "!!("+expression+")") {
			return
		}
		if time.Now().After(end) {
			p.shot("stuck")
			p.t.Fatalf("waited in vain for %s\nthe page says %q; the pane: %.600s", expression, p.text(".said"), p.text(".pane"))
		}
	}
}

// helpers find things by the names that people and screen readers get.
const helpers = `(() => { window.tw ??= {
  seen(e) { const r = e.getBoundingClientRect(); return r.width > 0 && r.height > 0 && getComputedStyle(e).visibility !== 'hidden' },
  name(e) { return (e.getAttribute('aria-label') ?? e.textContent).replace(/\s+/g, ' ').trim() },
  root() { return [...document.querySelectorAll('dialog[open]')].at(-1) ?? document },
  button(name) { const all = [...tw.root().querySelectorAll('button, a, summary')].filter(tw.seen); return all.find((e) => tw.name(e) === name) ?? all.find((e) => tw.name(e).startsWith(name)) },
  field(name) { for (const l of tw.root().querySelectorAll('label')) if (tw.name(l) === name && tw.seen(l)) { const e = document.getElementById(l.htmlFor); if (e && !e.closest('svg')) return e }
    return [...tw.root().querySelectorAll('input, select')].find((e) => tw.seen(e) && e.getAttribute('aria-label') === name) },
  point(e) { e.scrollIntoView({ block: 'center', inline: 'center' }); const r = e.getBoundingClientRect(); const x = r.x + r.width / 2, y = r.y + r.height / 2; const top = document.elementFromPoint(x, y); return { X: x, Y: y, Hit: !!top && (e.contains(top) || top.contains(e)) } },
  rev() { return document.querySelector('.work')?.dataset.rev ?? '' },
} })();
`

func quoted(s string) string {
	b, _ := json.Marshal(s)
	return string(b)
}

// press clicks what an expression gives, in its middle, where nothing covers it.
func (p *page) press(expression string) {
	p.t.Helper()
	// It must have stopped moving: what is loaded above it may push it about.
	p.wait("(() => { const e = " + expression + "; if (!e || e.disabled) return false; const q = tw.point(e), s = q.X + ' ' + q.Y; const still = window.was === s; window.was = s; return still && q.Hit })()")
	at := eval[struct{ X, Y float64 }](p, "tw.point("+expression+")")
	p.do(chromedp.MouseClickXY(at.X, at.Y))
}

// click presses a button by its name, or by how its name begins.
func (p *page) click(name string) {
	p.t.Helper()
	p.press("tw.button(" + quoted(name) + ")")
}

// touch clicks a pipe of the drawing, on its line.
func (p *page) touch(name string) {
	p.t.Helper()
	at := eval[struct{ X, Y float64 }](p, `(() => { const e = [...document.querySelectorAll('.drawing [id]')].find((e) => (e.dataset.id ?? e.id) === `+quoted(name)+`);
		const line = e.matches('polyline, line') ? e : e.querySelector('polyline, line');
		const q = line.getPointAtLength(line.getTotalLength() * 0.4).matrixTransform(line.getScreenCTM()); return { X: q.x, Y: q.y } })()`)
	p.do(chromedp.MouseClickXY(at.X, at.Y))
}

// choose picks from a list by its label.
func (p *page) choose(label, value string) {
	p.t.Helper()
	p.wait("tw.field(" + quoted(label) + ") && [...tw.field(" + quoted(label) + ").options].some((o) => o.value === " + quoted(value) + ")")
	eval[bool](p, "(() => { const e = tw.field("+quoted(label)+"); e.value = "+quoted(value)+"; e.dispatchEvent(new Event('change', { bubbles: true })); return true })()")
}

// fill types into a field by its label and goes on with Enter.
func (p *page) fill(label, value string) {
	p.t.Helper()
	p.typeIn(label, value)
	p.key("\r")
}

func (p *page) typeIn(label, value string) {
	p.t.Helper()
	p.press("tw.field(" + quoted(label) + ")")
	p.wait("document.activeElement === tw.field(" + quoted(label) + ")")
	eval[bool](p, "(() => { document.activeElement.select(); return true })()")
	p.insert(value)
}

func (p *page) insert(text string) {
	p.t.Helper()
	p.do(func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, input.InsertText, input.InsertTextParams{Text: text})
		return chromedp.Void{}, err
	})
}

func (p *page) key(keys string, with ...chromedp.Modifier) {
	p.t.Helper()
	p.do(chromedp.KeyEvent(keys, chromedp.KeyModifiers(with...)))
}

// text gives the words of an element.
func (p *page) text(css string) string {
	p.t.Helper()
	return eval[string](p, "(document.querySelector("+quoted(css)+")?.innerText ?? '').replace(/\\s+/g, ' ')")
}

// edits runs what changes the job and waits until it is solved, drawn and saved.
func (p *page) edits(what func()) {
	p.t.Helper()
	before := eval[string](p, "tw.rev()")
	what()
	p.wait("tw.rev() !== " + quoted(before) + " && document.querySelector('.saving')?.textContent === 'Saved'")
}

// open opens a job from the list.
func (p *page) open(name string) {
	p.t.Helper()
	p.press("[...document.querySelectorAll('.jobs .line')].find((e) => e.querySelector('.what').textContent === " + quoted(name) + ")")
	p.wait("document.querySelector('.work')")
}

// file reads the job from the folder.
func (p *page) file(name string) string {
	p.t.Helper()
	b, err := os.ReadFile(filepath.Join(p.folder, name+jobSuffix))
	if err != nil {
		p.t.Fatal(err)
	}
	return string(b)
}

// screen sets the size of the window, and paper or ink on dark.
func (p *page) screen(width, height int64, dark, touch bool) {
	p.t.Helper()
	opts := []chromedp.EmulateViewportOption{}
	if touch {
		opts = append(opts, chromedp.EmulateMobile, chromedp.EmulateTouch)
	}
	scheme := "light"
	if dark {
		scheme = "dark"
	}
	p.do(chromedp.EmulateViewport(width, height, opts...), func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
		return chromedp.Void{}, err
	})
	p.wait("document.documentElement.dataset.theme === " + quoted(scheme) + " && innerWidth === " + fmt.Sprint(width))
}

// shot writes a screenshot into the folder that SHOTS names; without it, none is made.
func (p *page) shot(name string) {
	p.t.Helper()
	dir := os.Getenv("SHOTS")
	if dir == "" {
		return
	}
	// Type and two frames, so that what was asked for is on the screen.
	if _, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool]("(async () => { await document.fonts.ready; for (let i = 0; i < 2; i++) await new Promise(requestAnimationFrame); return true })()", chromedp.EvalAwaitPromise)); err != nil {
		p.t.Fatal(err)
	}
	b, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		p.t.Fatal(err)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		p.t.Fatal(err)
	}
	write(p.t, filepath.Join(dir, strings.ReplaceAll(name, " ", "-")+".png"), string(b))
}

func write(t testing.TB, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}
