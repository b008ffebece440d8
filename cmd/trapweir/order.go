package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"trapweir/draw"
	"trapweir/draw/pdf"
	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/price"
	"trapweir/engine/stock"
	"trapweir/engine/takeoff"
	"trapweir/engine/unit"
	"trapweir/report"
	"trapweir/report/order"
	"trapweir/report/xlsx"
	"trapweir/shelf"
)

// orderFlags are what the person who orders decides.
type orderFlags struct {
	out, form, prices, against, kerf, paper string
	fittings, materials, beside, stock      []string
	waste, spare, sundries, tax             string
}

func orderCmd() *cobra.Command {
	var f orderFlags
	c := codeFlag(jsonFlag(&cobra.Command{
		Use: "order JOB", GroupID: "job", Short: "take off pipe, fittings and sundries: order, saw list, price, change order (docs/order.md)",
		Long: `Order counts what a solved job needs: pipe, every fitting, supports, cement, test gear,
by delivery and by run; packs the cuts into stock lengths; and prices it from a file of
your own (item, unit, price, supplier). What has no price or cannot be counted is listed
and is in no total.

  trapweir order JOB -o order.xlsx --prices prices.csv
  trapweir order JOB --form ours.yaml          then fill it in, and:
  trapweir order JOB --dimensions ours.yaml
  trapweir order JOB --material "pvc,cast iron" --prices prices.csv
  trapweir order OLD --against NEW --prices prices.csv`,
		Args: cobra.ExactArgs(1), ValidArgsFunction: jobArg,
		RunE: func(cmd *cobra.Command, args []string) error { return runOrder(cmd, args[0], &f) },
	}))
	fl := c.Flags()
	fl.StringVarP(&f.out, "output", "o", "", "write to this file: .xlsx, .csv, .pdf or .txt (default: text on standard output)")
	fl.StringVar(&f.prices, "prices", "", "your price file, .csv or .xlsx")
	fl.StringArrayVar(&f.fittings, "dimensions", nil, "your own pipe and fitting measures over those that come with the program (.yaml; may be given several times)")
	fl.StringVar(&f.form, "form", "", "write a file of the measures that the saw list lacks, to fill in for --dimensions")
	fl.StringSliceVar(&f.materials, "material", nil, "material instead of the job's; several are laid side by side, the first is ordered")
	fl.StringArrayVar(&f.beside, "beside", nil, "another job (another route) to lay beside this one")
	fl.StringVar(&f.against, "against", "", "a newer version of the job: say what it changes")
	fl.StringSliceVar(&f.stock, "stock", nil, "stock lengths to buy, such as 10',20' (default: all on record)")
	fl.StringVar(&f.kerf, "kerf", "", `width of the saw cut, such as 1/8"`)
	fl.StringVar(&f.waste, "waste", "0", "percent more of what is bought by the foot or yard")
	fl.StringVar(&f.spare, "spare", "0", "percent more of what is bought by the piece, rounded up")
	fl.StringVar(&f.sundries, "sundries", "0", "percent of the material for what nobody counts")
	fl.StringVar(&f.tax, "tax", "0", "percent of material and sundries")
	fl.StringVar(&f.paper, "paper", "letter", "paper of the PDF")
	c.MarkFlagsMutuallyExclusive("against", "beside")
	c.MarkFlagsMutuallyExclusive("against", "output")
	c.MarkFlagsMutuallyExclusive("against", "form")
	return c
}

// ordering is what a run of the command works with.
type ordering struct {
	cmd   *cobra.Command
	f     *orderFlags
	stock *stock.Stock
	list  *price.List
	set   takeoff.Settings
	share price.Settings
}

func runOrder(cmd *cobra.Command, path string, f *orderFlags) error {
	w := &ordering{cmd: cmd, f: f}
	if err := w.prepare(); err != nil {
		return err
	}
	r, _, err := openJob(cmd, path, codeOf(cmd))
	if err != nil {
		return err
	}
	if !r.Solved() {
		if err := writeJSON(cmd.OutOrStdout(), report.Document(r)); err != nil {
			return err
		}
		return errStatus(exitNoLook)
	}
	material := ""
	if len(f.materials) > 0 {
		material = f.materials[0]
	}
	p := w.priced(r, material)
	if f.against != "" {
		return w.change(path, r, p)
	}
	cols := []price.Column{{Name: columnName(path, material, len(f.beside) > 0), Priced: p}}
	for _, m := range f.materials[min(1, len(f.materials)):] {
		cols = append(cols, price.Column{Name: columnName(path, m, len(f.beside) > 0), Priced: w.priced(r, m)})
	}
	for _, other := range f.beside {
		r2, _, err := openJob(cmd, other, codeOf(cmd))
		if err != nil {
			return err
		}
		if !r2.Solved() {
			return errStatus(exitNoLook)
		}
		cols = append(cols, price.Column{Name: columnName(other, material, true), Priced: w.priced(r2, material)})
	}
	return w.write(r, p, cols)
}

// columnName heads an alternate: the material, the file when several are compared.
func columnName(path, material string, several bool) string {
	name := strings.TrimSuffix(strings.TrimSuffix(filepath.Base(path), ".yaml"), ".dwv")
	switch {
	case several && material != "":
		return name + ", " + material
	case several:
		return name
	case material == "":
		return "as the job says"
	}
	return material
}

// prepare reads the files and flags that have nothing to do with a job.
func (w *ordering) prepare() error {
	f, cmd := w.f, w.cmd
	var own []stock.File
	for _, name := range f.fittings {
		text, err := readLimited(name)
		if err != nil {
			return err
		}
		own = append(own, stock.File{Name: name, Text: text})
	}
	st, ds := shelf.Stock(own...)
	if diag.Count(ds, diag.Error) > 0 {
		report.Faults(cmd.ErrOrStderr(), nil, ds)
		return errStatus(exitNoLook)
	}
	w.stock = st
	if f.kerf != "" {
		k, err := unit.ParseLength(f.kerf)
		if err != nil || k < 0 {
			return fmt.Errorf("--kerf %q is no length of 0 in or more: write 1/8\"", f.kerf)
		}
		w.stock.Shop.Kerf = k
	}
	for _, s := range f.stock {
		l, err := unit.ParseLength(s)
		if err != nil || l < unit.Inch {
			return fmt.Errorf("--stock %q is no length: write 10' or 10',20'", s)
		}
		w.set.Lengths = append(w.set.Lengths, l)
	}
	for _, m := range f.materials {
		if _, ok := st.Pipe(m); !ok {
			return fmt.Errorf("--material %q is not on record; there are %s", m, strings.Join(st.Materials(), ", "))
		}
	}
	for _, p := range []struct {
		name, text string
		to         *int64
	}{{"waste", f.waste, &w.share.Waste}, {"spare", f.spare, &w.share.Spare}, {"sundries", f.sundries, &w.share.Sundries}, {"tax", f.tax, &w.share.Tax}} {
		v, err := price.ParseMoney(strings.TrimSuffix(strings.TrimSpace(p.text), "%"))
		if err != nil || v > 1000*price.One || v%100 != 0 {
			return fmt.Errorf("--%s %q is no percentage of up to two decimals: write 5 or 7.25", p.name, p.text)
		}
		*p.to = int64(v / 100)
	}
	switch ext := strings.ToLower(filepath.Ext(f.out)); {
	case f.out == "" || slices.Contains([]string{".xlsx", ".csv", ".pdf", ".txt"}, ext):
	default:
		return fmt.Errorf("-o %s: what to write is told by the ending: .xlsx, .csv, .pdf or .txt", f.out)
	}
	if f.prices == "" {
		return nil
	}
	text, err := readLimited(f.prices)
	if err != nil {
		return err
	}
	read := price.ReadCSV
	if strings.EqualFold(filepath.Ext(f.prices), ".xlsx") {
		read = xlsx.ReadPrices
	}
	list, ds := read(f.prices, text)
	if diag.Count(ds, diag.Error) > 0 {
		report.Faults(cmd.ErrOrStderr(), text, ds)
		return errStatus(exitNoLook)
	}
	w.list = list
	return nil
}

// readLimited reads a file of the user's, no larger than a job may be.
func readLimited(name string) ([]byte, error) {
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	text, err := io.ReadAll(io.LimitReader(file, maxJob+1))
	if err == nil && len(text) > maxJob {
		return nil, fmt.Errorf("%s has more than %d MiB: price files and measures are smaller", name, maxJob>>20)
	}
	return text, err
}

func (w *ordering) priced(r *engine.Result, material string) *price.Priced {
	set := w.set
	set.Material = material
	return price.Apply(r.Order(w.stock, set), w.list, w.share)
}

// change says what the newer version of the job changes.
func (w *ordering) change(path string, old *engine.Result, p *price.Priced) error {
	now, _, err := openJob(w.cmd, w.f.against, codeOf(w.cmd))
	if err != nil {
		return err
	}
	if !now.Solved() {
		return errStatus(exitNoLook)
	}
	material := ""
	if len(w.f.materials) > 0 {
		material = w.f.materials[0]
	}
	c := price.Compare(
		price.Side{Net: old.Net, Sizes: old.Sizes, Vents: old.Vents, Priced: p},
		price.Side{Net: now.Net, Sizes: now.Sizes, Vents: now.Vents, Priced: w.priced(now, material)})
	if asJSON(w.cmd) {
		return writeJSON(w.cmd.OutOrStdout(), struct {
			Format string        `json:"format"`
			Change *price.Change `json:"change"`
		}{report.Format, c})
	}
	order.Change(w.cmd.OutOrStdout(), path, w.f.against, c)
	return nil
}

// write writes the order in the form that was asked for.
func (w *ordering) write(r *engine.Result, p *price.Priced, cols []price.Column) error {
	title, sys := r.Job.Title.Text, r.Job.Units
	if w.f.form != "" {
		if err := w.writeForm(title, p.Order); err != nil {
			return err
		}
		if w.f.out == "" && !asJSON(w.cmd) {
			return nil
		}
	}
	if asJSON(w.cmd) {
		return writeJSON(w.cmd.OutOrStdout(), struct {
			Format     string         `json:"format"`
			Job        string         `json:"job"`
			Order      *takeoff.Order `json:"order"`
			Priced     *price.Priced  `json:"priced"`
			Alternates []price.Group  `json:"alternates,omitempty"`
		}{report.Format, title, p.Order, p, besideJSON(cols)})
	}
	var out bytes.Buffer
	var err error
	switch strings.ToLower(filepath.Ext(w.f.out)) {
	case ".xlsx":
		o := xlsx.Options{Title: title, Units: sys, Beside: cols}
		if w.f.paper == "a4" {
			o.Paper = 9
		}
		err = xlsx.Write(&out, p, o)
	case ".csv":
		err = order.CSV(&out, p)
	case ".pdf":
		var sheets []*draw.Sheet
		sheets, err = order.Sheets(p, order.Sheet{Title: title, Paper: w.f.paper, Units: sys, Fields: fields(r)})
		if err == nil {
			var b []byte
			b, err = pdf.Render(sheets, pdf.Options{Title: "Order: " + title})
			out.Write(b)
		}
	default:
		if err = order.Text(&out, title, p, sys); err == nil && len(cols) > 1 {
			fmt.Fprintln(&out)
			order.Beside(&out, cols)
		}
	}
	if err != nil {
		return err
	}
	if w.f.out == "" {
		_, err = w.cmd.OutOrStdout().Write(out.Bytes())
		return err
	}
	if err := os.WriteFile(w.f.out, out.Bytes(), 0o644); err != nil {
		return err
	}
	fmt.Fprintf(w.cmd.ErrOrStderr(), "%s: %d lines, %d pieces of pipe, %d things not measured, %d without a price\n", w.f.out, len(p.Order.Lines), len(p.Order.Pieces), len(p.Order.NotMeasured), len(p.Missing))
	if len(cols) > 1 && !strings.EqualFold(filepath.Ext(w.f.out), ".xlsx") && !strings.EqualFold(filepath.Ext(w.f.out), ".txt") {
		order.Beside(w.cmd.OutOrStdout(), cols)
	}
	return nil
}

// writeForm writes the file of wanted measures. One that is there already may hold a shop's
// measures and is left alone.
func (w *ordering) writeForm(title string, o *takeoff.Order) error {
	var out bytes.Buffer
	if err := order.Form(&out, title, o); err != nil {
		return err
	}
	file, err := os.OpenFile(w.f.form, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("--form %s: the file is there already, and may hold measures: name another", w.f.form)
	}
	if err != nil {
		return err
	}
	if _, err := file.Write(out.Bytes()); err != nil {
		file.Close()
		return err
	}
	fmt.Fprintf(w.cmd.ErrOrStderr(), "%s: %d fittings to measure\n", w.f.form, len(o.Wants))
	return file.Close()
}

func besideJSON(cols []price.Column) []price.Group {
	if len(cols) < 2 {
		return nil
	}
	return price.Beside(cols)
}

// fields are what the title strip of the printed order says.
func fields(r *engine.Result) []draw.Field {
	out := []draw.Field{{Label: "Code basis", Value: r.Book.Title()}}
	for _, k := range []string{"owner", "address", "parcel", "permit", "drawn by", "date", "licence"} {
		if v := r.Job.Sheet[k].Text; v != "" {
			out = append(out, draw.Field{Label: strings.ToUpper(k[:1]) + k[1:], Value: v})
		}
	}
	if a := r.Job.Site.Address.Text; a != "" && r.Job.Sheet["address"].Text == "" {
		out = append(out, draw.Field{Label: "Address", Value: a})
	}
	return out
}
