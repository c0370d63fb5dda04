package answer

import (
	"html/template"

	"firnhand/core/decide"
	"firnhand/internal/picture"
)

// Size of the drawing of the set-up on a page, mm.
const (
	drawingWide = 76
	drawingHigh = 58
)

// Drawing draws the set-up from above. It is empty while the way of skiing is
// not decided, when the student sits, and when nobody skis today.
func Drawing(a *decide.Answer) template.HTML {
	way, ok := a.Axis("way")
	if plan, has := a.Axis("plan"); !ok || way.Open || way.Value == "sitting" || !has || plan.Value == "PL-H" || plan.Value == "PL-F" {
		return ""
	}
	p := picture.Above{}
	switch way.Value {
	case "outriggers":
		p.Support = picture.BothOutriggers
	case "one_outrigger_left":
		p.Support = picture.LeftOutrigger
	case "one_outrigger_right":
		p.Support = picture.RightOutrigger
	case "slider":
		p.Support = picture.Slider
	case "one_ski_left":
		p.Skis, p.Support = picture.LeftSkiOnly, picture.BothOutriggers
	case "one_ski_right":
		p.Skis, p.Support = picture.RightSkiOnly, picture.BothOutriggers
	}
	p.TroughL, p.TroughR = a.Is("trough_left", "yes"), a.Is("trough_right", "yes")
	switch {
	case a.Is("tie", "elastic"):
		p.Tie = picture.ElasticTie
	case a.Is("tie", "rigid"):
		p.Tie = picture.RigidTie
	case a.Is("tie", "rigid_spacer"):
		p.Tie, p.Spacer = picture.RigidTie, true
	}
	switch {
	case a.Is("reins", "tip_reins"):
		p.Reins = picture.TipReins
	case a.Is("reins", "hip_harness"):
		p.Reins = picture.HipReins
	case a.Is("reins", "frame"):
		p.Reins = picture.FrameReins
	}
	p.LiftL, p.LiftR = lift(a, "left"), lift(a, "right")
	// The drawing escapes all text in it; nothing else goes in.
	return template.HTML(p.Draw(drawingWide, drawingHigh).SVG())
}

// lift is the word for what raises a foot.
func lift(a *decide.Answer, side string) string {
	switch {
	case a.Is("length_"+side, "plate"):
		return "plate"
	case a.Is("length_"+side, "in_boot"):
		return "lift"
	case a.Is("heel_"+side, "lift"):
		return "heel lift"
	}
	return ""
}
