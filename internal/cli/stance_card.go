package cli

import (
	"bytes"
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"time"

	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/stance"
	"firnhand/internal/picture/standing"
	paperwork "firnhand/internal/sheet"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// stanceCard lays a stance out as a card of A5: the drawings of the page, what
// it comes to, and the numbers of a set-up, as signed or else as proposed.
func stanceCard(version, name string, day, made time.Time, way string, held bool, posed *stance.Posed, r stance.Result, slope quantity.Radian, numbers []paperwork.StanceNumber) ([]byte, error) {
	c := paperwork.Stance{Name: name, Day: day, MadeAt: made, Version: version, Way: way, Verdict: standing.Words(r.Verdict), Numbers: numbers}
	if held {
		c.Stop = "A hold is in force: for planning only, nobody stands on skis today."
	}
	if says := posed.Says(); says != "" {
		c.Lines = append(c.Lines, says)
	}
	n, tenth := quantity.Decimals(0), quantity.Decimals(1)
	if stance.AidOf(r.Of.Contacts) != stance.NoAid && r.Verdict != stance.NotHeld {
		c.Lines = append(c.Lines, "The arms carry at least "+n.Text(max(0, 100*float64(r.Arms.Value()/r.Weight)))+" % of "+n.Text(float64(r.Weight))+" N on the snow, between "+
			n.Text(max(0, 100*float64(r.Arms.Low()/r.Weight)))+" and "+n.Text(100*float64(r.Arms.High()/r.Weight))+" %.")
	}
	if !r.RegionEmpty && r.Reserve.Value() >= 0 {
		c.Lines = append(c.Lines, "Room before legs and arms no longer carry it: "+tenth.Text(r.Reserve.Value().Centimetres())+" cm ("+tenth.Text(r.Reserve.Low().Centimetres())+" to "+
			tenth.Text(r.Reserve.High().Centimetres())+"), nearest: "+r.Nearest.String()+".")
	}
	above := standing.Above(r)
	above.Verdict = "" // it stands at the top
	if across := quantity.Radian(math.Atan(float64(r.Of.Lean.Right.Value()))); posed.Upright != nil && posed.Upright.Roll != 0 {
		c.Drawings = []paperwork.Drawable{above, standing.Behind(posed, r, across)}
	} else {
		c.Drawings = []paperwork.Drawable{above, standing.Side(posed, r, finding.NoSide, slope)}
	}
	var out bytes.Buffer
	err := c.PDF(&out)
	var refused *paperwork.Error
	if errors.As(err, &refused) {
		return nil, refuse(refused.Code, "%s", refused.Sentence)
	}
	return out.Bytes(), err
}

// setUpNumbers are the numbers of a set-up with units and ranges.
func setUpNumbers(g gearOnCard) []paperwork.StanceNumber {
	var out []paperwork.StanceNumber
	say := func(item, side string) string {
		it, m := g.find(item, side)
		switch {
		case it.Item == "" || it.Unit == "":
			return ""
		case m != nil && m.Done && m.Value != nil:
			s := finding.FormatNumber(*m.Value) + " " + it.Unit
			if it.Low != nil && !it.Outside(m.SetUpValue) {
				s += " (" + finding.FormatNumber(*it.Low) + " to " + finding.FormatNumber(*it.High) + ")"
			}
			return s
		case it.Low != nil:
			return "____ " + it.Unit + ", " + finding.FormatNumber(*it.Low) + " to " + finding.FormatNumber(*it.High)
		}
		return "____ " + it.Unit
	}
	for _, line := range gearLines {
		n := paperwork.StanceNumber{Label: line.label, Left: say(line.item, "left"), Right: say(line.item, "right")}
		if !line.sided {
			n.Left = say(line.item, "none")
			n.Right = n.Left
		}
		if n.Left == "" && n.Right == "" {
			continue
		}
		for _, s := range []*string{&n.Left, &n.Right} {
			if *s == "" {
				*s = "none"
			}
		}
		out = append(out, n)
	}
	return out
}

// card writes the card of a person's file.
func (c *stanceOfCmd) card(a *app, d *decided, aid string, posed *stance.Posed, s stance.Stance) error {
	r, err := stance.Analyse(s)
	if err != nil {
		return stanceFault(err)
	}
	var g gearOnCard
	if items, err := programme.ProposedItems(d.table, d.answer, d.c.Input.Findings, d.person.Measured.Measures(), fittingOf(d.person)); err == nil {
		g.items = items
	}
	slope := quantity.Radian(0)
	if c.HeadingDeg == 0 {
		slope, _ = c.slope() // read once already
	}
	day := time.Date(d.on.Year, d.on.Month, d.on.Day, 0, 0, 0, 0, time.UTC)
	pdf, err := stanceCard(a.Version, firstName(d.person.Name), day, a.Clock.Now(), "Stance: "+aidWords[aid]+".", d.held(), posed, r, slope, setUpNumbers(g))
	if err != nil {
		return err
	}
	return replace(c.Card, pdf)
}

// printStanceCard prints the stance of a record for the pages.
func printStanceCard(_ context.Context, o page.CardOrder, place string) ([]byte, error) {
	stood, err := programme.StanceOf(o.Table, o.Record)
	if err != nil {
		return nil, err
	}
	if len(stood.Needs) > 0 {
		return nil, programme.Refuse(programme.CodeConflict, "Height and weight are needed before a stance can be worked out.")
	}
	places := programme.StancePlaces()
	i := slices.IndexFunc(places, func(p programme.StancePlace) bool { return p.Code == place })
	if i < 0 {
		return nil, programme.Refuse(programme.CodeNotFound, "There is no such situation.")
	}
	b, err := stood.In(places[i], false)
	if err != nil {
		return nil, err
	}
	signed, proposed := gearOf(o)
	g := gearOnCard{items: proposed}
	if signed != nil {
		g = gearOnCard{items: signed.Items, measured: signed.Measured}
	}
	day := time.Date(o.ForDay.Year, o.ForDay.Month, o.ForDay.Day, 0, 0, 0, 0, time.UTC)
	pdf, err := stanceCard("", firstName(o.Record.NameUsed), day, o.MadeAt, strings.ToUpper(stood.Label[:1])+stood.Label[1:]+", "+places[i].Name+".", (&decided{answer: o.Answer}).held(), b.Posed, b.Result, places[i].Along, setUpNumbers(g))
	var f *fault
	if errors.As(err, &f) {
		return nil, programme.Refuse(programme.CodeInvalid, "%s", f.sentence)
	}
	return pdf, err
}
