package measure

import (
	"net/http"
	"strings"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

// topic is one topic in the list.
type topic struct {
	programme.MeasureTopic
	Lines []known
}

// known is one measure with what is known on each side.
type known struct {
	Label string
	Sides []value
}

type value struct {
	Side string // "Left", "Right" or ""
	Says string
	By   string
	When string
}

type showBody struct {
	Topics   []topic
	Flags    []programme.MeasureFlag
	Weighed  bool // a mass is known; flags need one
	MayWrite bool
}

func show(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	names, err := v.StaffNames()
	if err != nil {
		return err
	}
	set, m := r.Set(), r.Measured()
	_, weighed := programme.PersonOf(set, m)
	body := showBody{MayWrite: v.Actor.May(programme.WriteSetUp), Flags: programme.FlagsOf(set, m), Weighed: weighed}
	for _, t := range programme.MeasureTopics {
		one := topic{MeasureTopic: t}
		for _, k := range programme.MeasureKinds() {
			if k.Topic != t.ID {
				continue
			}
			line := known{Label: k.Label}
			for _, side := range sidesOf(k) {
				if seen, ok := r.Measures[programme.MeasureKey{Measure: k.Key, Side: side}]; ok {
					line.Sides = append(line.Sides, value{heading(side), k.Says(seen.Value), names[seen.By], page.Day(programme.DateOf(seen.MadeAt))})
				}
			}
			if len(line.Sides) > 0 {
				one.Lines = append(one.Lines, line)
			}
		}
		body.Topics = append(body.Topics, one)
	}
	return v.Render(http.StatusOK, "measures", page.View{Title: "Measures", Student: v.HeadingOf(r), Here: "measures", Body: body})
}

func sidesOf(k programme.MeasureKind) []string {
	if k.Sided {
		return []string{"left", "right"}
	}
	return []string{"none"}
}

func heading(side string) string {
	if side == "none" {
		return ""
	}
	return strings.ToUpper(side[:1]) + side[1:]
}
