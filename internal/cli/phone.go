package cli

import (
	"fmt"
	"os"
	"text/tabwriter"

	"firnhand/internal/exchange"
	"firnhand/internal/hill"
	"firnhand/programme"
)

// phoneCmd is about the page that works on a phone with no signal.
type phoneCmd struct {
	Sizes  phoneSizesCmd  `cmd:"" help:"What the page weighs on the network, file by file."`
	Import phoneImportCmd `cmd:"" help:"Take an outbox that a phone saved as a file."`
}

type phoneSizesCmd struct {
	JSON bool `name:"json" help:"As JSON."`
}

// sizesView is what the page weighs.
type sizesView struct {
	Files          []sizeView `json:"files"`
	FirstBrotli    int        `json:"first_load_brotli_bytes"`
	FirstGzip      int        `json:"first_load_gzip_bytes"`
	FirstMost      int        `json:"first_load_most_bytes"`
	EngineBuilt    bool       `json:"engine_built"`
	EngineBrotli   int        `json:"engine_brotli_bytes"`
	EngineGzip     int        `json:"engine_gzip_bytes"`
	EngineRaw      int        `json:"engine_bytes"`
	EngineMost     int        `json:"engine_most_bytes"`
	WithinLimits   bool       `json:"within_limits"`
	LimitsMeasured string     `json:"limits_measured"`
}

type sizeView struct {
	Name   string `json:"name"`
	Raw    int    `json:"bytes"`
	Gzip   int    `json:"gzip_bytes"`
	Brotli int    `json:"brotli_bytes"`
	First  bool   `json:"first_load"`
}

// Run prints the sizes.
func (c *phoneSizesCmd) Run(a *app) error {
	all, err := hill.Sizes()
	if err != nil {
		return internal(err, "The files of the page cannot be read.")
	}
	v := sizesView{FirstMost: hill.MostFirst, EngineMost: hill.MostEngine, LimitsMeasured: "brotli"}
	for _, s := range all {
		v.Files = append(v.Files, sizeView(s))
		if s.First {
			v.FirstBrotli, v.FirstGzip = v.FirstBrotli+s.Brotli, v.FirstGzip+s.Gzip
			continue
		}
		v.EngineBuilt = true
		v.EngineBrotli, v.EngineGzip, v.EngineRaw = v.EngineBrotli+s.Brotli, v.EngineGzip+s.Gzip, v.EngineRaw+s.Raw
	}
	v.WithinLimits = v.FirstBrotli <= v.FirstMost && v.EngineBrotli <= v.EngineMost
	if c.JSON {
		return a.printJSON(v)
	}
	w := tabwriter.NewWriter(a.Out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "bytes\tgzip\tBrotli\t  file\t")
	for _, s := range v.Files {
		fmt.Fprintf(w, "%d\t%d\t%d\t  %s\t\n", s.Raw, s.Gzip, s.Brotli, s.Name)
	}
	if err := w.Flush(); err != nil {
		return internal(err, "The sizes could not be printed.")
	}
	fmt.Fprintf(a.Out, "First load, without the engine: %d bytes with Brotli, %d with gzip; at most %d.\n", v.FirstBrotli, v.FirstGzip, v.FirstMost)
	if !v.EngineBuilt {
		fmt.Fprintln(a.Out, "The engine is not part of this build; make build compiles it.")
		return nil
	}
	fmt.Fprintf(a.Out, "The engine, fetched later: %d bytes with Brotli, %d with gzip, %d as it is; at most %d with Brotli.\n", v.EngineBrotli, v.EngineGzip, v.EngineRaw, v.EngineMost)
	return nil
}

type phoneImportCmd struct {
	File string `arg:"" help:"Outbox that a phone saved as a file."`
	recordFlags
	JSON bool `name:"json" help:"As JSON."`
}

// importView is what became of an outbox.
type importView struct {
	Created int          `json:"created_count"`
	Exists  int          `json:"exists_count"`
	Refused []refusedRow `json:"refused"`
	Damaged []int        `json:"damaged_items"` // their places in the file, from 1
}

type refusedRow struct {
	ID       string `json:"id"`
	Code     string `json:"code"`
	Sentence string `json:"sentence"`
}

// Run takes the items, each as the person who recorded it.
func (c *phoneImportCmd) Run(a *app) error {
	b, err := os.ReadFile(c.File)
	if err != nil {
		return cannotOpen(c.File, err)
	}
	f, damaged, err := exchange.ReadFile(b)
	if err != nil {
		return refuse("outbox", "%s.", sentenceOf(err.Error()))
	}
	ctx, stop := a.until()
	defer stop()
	h, err := c.open(ctx, a)
	if err != nil {
		return err
	}
	defer h.Close()
	v := importView{Refused: []refusedRow{}, Damaged: append([]int{}, damaged...)}
	desk := exchange.Desk{Cases: h.cases, Clock: h.clock}
	for from := 0; from < len(f.Items); {
		to := from
		for to < len(f.Items) && f.Items[to].Author == f.Items[from].Author && to-from < exchange.MaxItems {
			to++
		}
		who, err := h.cases.ActorOf(ctx, programme.ID(f.Items[from].Author))
		if err != nil {
			return refuse("author", "The outbox holds items of somebody who is not on the staff (%s). Nothing of theirs was taken; %d items were.", f.Items[from].Author, v.Created)
		}
		for _, r := range desk.Take(ctx, who, f.Items[from:to]) {
			switch r.Outcome {
			case exchange.Created:
				v.Created++
			case exchange.Exists:
				v.Exists++
			default:
				v.Refused = append(v.Refused, refusedRow{r.ID, r.Code, r.Sentence})
			}
		}
		from = to
	}
	if c.JSON {
		if err := a.printJSON(v); err != nil {
			return err
		}
	} else {
		fmt.Fprintf(a.Out, "%d items taken, %d were there already.\n", v.Created, v.Exists)
		for _, r := range v.Refused {
			fmt.Fprintf(a.Out, "Not taken: %s: %s\n", r.ID, r.Sentence)
		}
		for _, n := range v.Damaged {
			fmt.Fprintf(a.Out, "Not taken: item %d of the file is not as it was made.\n", n)
		}
	}
	if len(v.Refused)+len(v.Damaged) > 0 {
		return &fault{exit: ExitInput, code: "refused", sentence: "Not everything was taken. The file keeps what was not."}
	}
	return nil
}
