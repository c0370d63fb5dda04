// Package verify holds every check of a computed figure against something
// outside the project: a published value, a standard, a worked example.
//
// A [Check] names the figure, the work it is printed in, what is printed and
// what this program gets. Unless a check says otherwise it passes when the
// two agree within half of the last printed digit. The checks are built into
// the program, so anybody can run them on the program they have.
//
// The core does not know this package. The checks of a part of the core are
// written in the file of that part's name here, call the core, and are listed
// in [All].
package verify

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"text/tabwriter"

	"firnhand/core/source"
)

// Check compares one figure, or one word, with what is printed elsewhere.
type Check struct {
	ID        string        // part/figure: "deleva1996/mass_f"
	What      string        // the figure in words, with what is given
	Source    string        // mark of the work, known to core/source
	Status    source.Status // how sure the expected figure is; "" takes the work's
	Unit      string        // of expected, got and tolerance; "1" for none, "" for a word
	Expected  string        // as printed
	Tolerance float64       // in Unit; 0 for half of the last printed digit
	Got       float64       // in Unit
	GotWord   string        // instead of Got where the figure is a word
	Note      string        // may be empty
	Skipped   string        // why the check is not counted; "" where it is
}

// Result is a check that was judged.
type Result struct {
	Check
	Tolerance float64 // the one that was used, in Unit
	Pass      bool    // false where skipped
}

// guard lets a difference of exactly the tolerance pass although binary
// fractions make it a hair larger.
const guard = 1e-9

// Judge compares. An error means the check itself is not well formed.
func (c Check) Judge() (Result, error) {
	work, known := source.Reference(c.Source)
	switch {
	case c.ID == "" || c.What == "":
		return Result{}, fmt.Errorf("a check has no id or does not say what it checks: %+v", c)
	case !known:
		return Result{}, fmt.Errorf("check %s cites %q, which core/source does not know", c.ID, c.Source)
	}
	if c.Status == "" {
		c.Status = work.Status
	}
	r := Result{Check: c, Tolerance: c.Tolerance}
	if c.Unit == "" {
		r.Pass = c.Skipped == "" && c.GotWord == c.Expected
		return r, nil
	}
	want, err := strconv.ParseFloat(c.Expected, 64)
	if err != nil {
		return Result{}, fmt.Errorf("check %s expects %q, which is not a number", c.ID, c.Expected)
	}
	if r.Tolerance == 0 {
		r.Tolerance = HalfDigit(c.Expected)
	}
	r.Pass = c.Skipped == "" && math.Abs(c.Got-want) <= r.Tolerance*(1+guard)
	return r, nil
}

// HalfDigit returns half of one unit in the last digit of a printed decimal
// number: 0.0005 for "0.082", 0.5 for "532". An exponent moves the digit with
// it.
func HalfDigit(printed string) float64 {
	number, exponent, _ := strings.Cut(strings.ToLower(printed), "e")
	shift, err := strconv.Atoi(exponent)
	if err != nil {
		shift = 0
	}
	_, decimals, _ := strings.Cut(number, ".")
	return math.Pow10(shift-len(decimals)) / 2
}

// Report is every check, judged.
type Report struct {
	Results                 []Result
	Passed, Failed, Skipped int
}

// Run judges checks. It refuses two with the same id.
func Run(checks []Check) (Report, error) {
	var rep Report
	seen := map[string]bool{}
	for _, c := range checks {
		if seen[c.ID] {
			return Report{}, fmt.Errorf("two checks have the id %s", c.ID)
		}
		seen[c.ID] = true
		r, err := c.Judge()
		if err != nil {
			return Report{}, err
		}
		switch {
		case r.Skipped != "":
			rep.Skipped++
		case r.Pass:
			rep.Passed++
		default:
			rep.Failed++
		}
		rep.Results = append(rep.Results, r)
	}
	return rep, nil
}

// Word returns "pass", "fail" or "skipped".
func (r Result) Word() string {
	switch {
	case r.Skipped != "":
		return "skipped"
	case r.Pass:
		return "pass"
	}
	return "fail"
}

// got prints what this program gets, to two digits more than are printed
// elsewhere.
func (r Result) got() string {
	if r.Unit == "" {
		return r.GotWord
	}
	digits := 2 - int(math.Floor(math.Log10(2*HalfDigit(r.Expected))))
	return strconv.FormatFloat(r.Got, 'f', max(0, digits), 64)
}

func (r Result) unit() string {
	if r.Unit == "1" {
		return ""
	}
	return r.Unit
}

// Text prints the report for people: one line a check, then the works cited,
// then the counts.
func (rep Report) Text(w io.Writer) error {
	tab := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tab, "result\tcheck\tsource\texpected\tgot\t±\tunit\twhat")
	for _, r := range rep.Results {
		fmt.Fprintf(tab, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s%s\n", r.Word(), r.ID, r.Source, r.Expected, r.got(),
			r.tolerance(), r.unit(), r.What, r.aside())
	}
	if err := tab.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(w)
	cited := map[string]bool{}
	for _, r := range rep.Results {
		cited[r.Source] = true
	}
	for _, work := range source.References() {
		if cited[work.Mark] {
			fmt.Fprintf(w, "%s: %s (%s)\n", work.Mark, work.Text, work.Status)
		}
	}
	_, err := fmt.Fprintf(w, "\n%d passed, %d failed, %d skipped\n", rep.Passed, rep.Failed, rep.Skipped)
	return err
}

func (r Result) tolerance() string {
	if r.Unit == "" {
		return ""
	}
	return strconv.FormatFloat(r.Tolerance, 'g', 3, 64)
}

// aside is what stands in brackets after the line of a check.
func (r Result) aside() string {
	var parts []string
	if r.Skipped != "" {
		parts = append(parts, "skipped: "+r.Skipped)
	}
	if r.Note != "" {
		parts = append(parts, r.Note)
	}
	if work, _ := source.Reference(r.Source); r.Status != work.Status {
		parts = append(parts, string(r.Status))
	}
	if len(parts) == 0 {
		return ""
	}
	return " (" + strings.Join(parts, "; ") + ")"
}

// jsonResult is one check as JSON. The three figures are in the unit the row
// names.
type jsonResult struct {
	ID        string   `json:"id"`
	What      string   `json:"what"`
	Source    string   `json:"source"`
	Work      string   `json:"work"`
	Status    string   `json:"status"`
	Unit      string   `json:"unit"`
	Expected  string   `json:"expected_in_unit"`
	Got       *float64 `json:"got_in_unit,omitempty"`
	GotWord   string   `json:"got_word,omitempty"`
	Tolerance *float64 `json:"tolerance_in_unit,omitempty"`
	Result    string   `json:"result"`
	Note      string   `json:"note,omitempty"`
	Skipped   string   `json:"skipped_because,omitempty"`
}

// JSON prints the report as one JSON object.
func (rep Report) JSON(w io.Writer) error {
	rows := make([]jsonResult, len(rep.Results))
	for i, r := range rep.Results {
		work, _ := source.Reference(r.Source)
		rows[i] = jsonResult{ID: r.ID, What: r.What, Source: r.Source, Work: work.Text, Status: string(r.Status), Unit: r.Unit,
			Expected: r.Expected, GotWord: r.GotWord, Result: r.Word(), Note: r.Note, Skipped: r.Skipped}
		if r.Unit != "" {
			rows[i].Got, rows[i].Tolerance = &r.Got, &r.Tolerance
		}
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	return enc.Encode(map[string]any{
		"checks": rows, "passed_count": rep.Passed, "failed_count": rep.Failed, "skipped_count": rep.Skipped,
	})
}
