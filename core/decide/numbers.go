package decide

import (
	"math"

	"firnhand/core/finding"
)

// Range is a number with the range it may be set within.
type Range struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// Pair is a number for the left and the right.
type Pair[T any] struct {
	Left  T `json:"left"`
	Right T `json:"right"`
}

// Numbers are the quantities that follow from the answers and the settings. A
// nil number is not known yet or not asked for.
type Numbers struct {
	// Heel lift inside the boot: start low, at most high.
	HeelLiftMM Pair[*Range] `json:"heel_lift_mm"`
	// Leg length: inside the boot, plate under it on the first day, plate in the end.
	LengthInBootMM   Pair[*float64] `json:"length_in_boot_mm"`
	LengthPlateDayMM Pair[*float64] `json:"length_plate_first_day_mm"`
	LengthPlateMM    Pair[*float64] `json:"length_plate_final_mm"`
	// Spacer bar between the boots, inside to inside.
	SpacerMM *Range `json:"spacer_mm"`
	// Longest block before a rest, and the known minutes it comes from.
	BlockMin *float64 `json:"block_min"`
	// FeetCheckMin is how often feet are looked at.
	FeetCheckMin *float64 `json:"feet_check_min"`
	// WindChillStopC is the wind chill at which the lesson stops.
	WindChillStopC *float64 `json:"wind_chill_stop_c"`
}

func (t *Table) setting(name string) float64 { return t.settingMap[name].Value }

// numbers computes the quantities. Every figure in it is a setting of the
// table with its own basis.
func (t *Table) numbers(fs finding.Set, a *Answer) Numbers {
	var n Numbers
	if t.settingMap["heel_start_mm"] == nil { // a table of another trade
		return n
	}
	for _, side := range []finding.Side{finding.Left, finding.Right} {
		heel := t.heel(fs, a, side)
		boot, day, final := t.length(fs, a, side)
		if side == finding.Left {
			n.HeelLiftMM.Left, n.LengthInBootMM.Left, n.LengthPlateDayMM.Left, n.LengthPlateMM.Left = heel, boot, day, final
		} else {
			n.HeelLiftMM.Right, n.LengthInBootMM.Right, n.LengthPlateDayMM.Right, n.LengthPlateMM.Right = heel, boot, day, final
		}
	}
	if gap := fs.Get("natural_boot_gap_mm", finding.NoSide, finding.Fresh); a.Is("tie", "rigid_spacer") && gap.Kind == finding.Known {
		n.SpacerMM = &Range{gap.X, gap.X, gap.X} // never wider than natural
	}
	if e := fs.Get("endurance_min", finding.NoSide, finding.Fresh); e.Kind == finding.Known {
		b := math.Floor(math.Min(e.X*t.setting("block_share"), t.setting("block_most_min")))
		n.BlockMin = &b
	}
	feet := t.setting("feet_check_min")
	n.FeetCheckMin = &feet
	stop := t.setting("wind_chill_stop_c")
	if a.has("feet_cannot_warn") {
		stop = t.setting("wind_chill_stop_reduced_c")
	}
	n.WindChillStopC = &stop
	return n
}

func (a *Answer) has(note string) bool {
	for _, n := range a.Notes {
		if n.Code == note {
			return true
		}
	}
	return false
}

// heel: start low, never more than the missing bend asks for or a boot takes.
func (t *Table) heel(fs finding.Set, a *Answer, side finding.Side) *Range {
	x, ok := a.Axis("heel_" + side.Word())
	if !ok || x.Open {
		return nil
	}
	switch x.Value {
	case "none":
		return &Range{}
	case "try":
		return &Range{0, 0, t.setting("heel_start_mm")}
	case "lift":
		ankle := fs.Get("ankle_deg", side, finding.Fresh)
		if ankle.Kind != finding.Known {
			return nil
		}
		start := t.setting("heel_start_mm")
		missing := t.setting("boot_lean_deg") - ankle.X
		most := math.Min(t.setting("heel_most_mm"), math.Max(start, missing*t.setting("heel_mm_per_deg")))
		return &Range{start, start, math.Round(most)}
	}
	return nil
}

// length: as much as fits inside the boot, the rest under it; two thirds of
// the whole on the first day, rounded to 5 mm as plates come.
func (t *Table) length(fs finding.Set, a *Answer, side finding.Side) (boot, day, final *float64) {
	short := fs.Get("leg_short_mm", side, finding.Fresh)
	x, ok := a.Axis("length_" + side.Word())
	if !ok || x.Open || short.Kind != finding.Known {
		return nil, nil, nil
	}
	split := t.setting("leg_length_split_mm")
	inBoot := math.Min(short.X, split)
	whole := short.X - inBoot
	first := math.Max(0, math.Round((short.X*t.setting("leg_length_first_day")-inBoot)/5)*5) // exact: plates come in 5 mm
	first = math.Min(first, whole)
	return &inBoot, &first, &whole
}
