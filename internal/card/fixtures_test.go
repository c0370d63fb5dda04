package card_test

import (
	"firnhand/internal/card"
	"time"

	"firnhand/internal/picture"
)

// Invented people, modelled on the trade's case studies C01, C02, C05, C10 and
// C12. Numbers not given there (lengths, angles, minutes) are made up.

var day = time.Date(2025, 1, 14, 0, 0, 0, 0, time.UTC)

func trace(id string) card.Trace {
	return card.Trace{CardID: id, MadeAt: day.Add(7*time.Hour + 42*time.Minute), DataUpTo: 4812,
		DataAt: day.Add(7*time.Hour + 40*time.Minute), CoreVersion: "0.1.0", InputCode: "9c41-e07b"}
}

func num(n, unit, low, high string) card.Value {
	return card.Value{Number: n, Unit: unit, Low: low, High: high}
}

func words(s string) card.Value { return card.Value{Words: s} }

var contacts = []card.Line{{Label: "Lead", Text: "Ines, radio 4"}, {Label: "Patrol", Text: "radio 1"}, {Label: "Family", Text: "555 0143"}}

var stopNow = card.Line{Label: "Stop now for", Text: "pain, numb or white skin, new weakness, headache, change of sight"}

func fixtures() map[string]card.Content {
	return map[string]card.Content{"mila": mila(), "oskar": oskar(), "walter": walter(), "jonas": jonas(), "ben": ben()}
}

func mila() card.Content {
	return card.Content{
		FirstName: "Mila", LessonCode: "M1-14", Day: day, Slot: "10:00–12:00", Goal: "ski one whole run next to her brother",
		StopWord: "“freeze”, or both hands up",
		Cautions: []card.Line{
			stopNow,
			{Label: "Tie is on", Text: "no sidestep, no herringbone, no one-ski slide"},
			{Label: "Start quiet", Text: "one voice, no clapping"},
			{Label: "After 20 min", Text: "look at both feet, cuffs, tie"},
		},
		SetUp: card.SetUp{
			Way: "Two skis, two outriggers",
			Sided: []card.SidedSetting{
				{Label: "Outrigger handle", Left: num("66", "cm", "64", "69"), Right: num("66", "cm", "64", "69")},
				{Label: "Heel lift", Left: num("5", "mm", "5", "10"), Right: num("5", "mm", "5", "10")},
				{Label: "Ankle brace", Left: words("out"), Right: words("out")},
				{Label: "Brake", Left: words("4 turns out"), Right: words("4 turns out")},
			},
			Shared: []card.Setting{
				{Label: "Tip tie", Value: words("elastic")}, {Label: "Reins", Value: words("none")},
				{Label: "Skis", Value: words("110 cm")}, {Label: "Boots", Value: words("upright, soft")},
			},
			Figure: &picture.Above{Support: picture.BothOutriggers, Tie: picture.ElasticTie, LiftL: "heel lift", LiftR: "heel lift",
				People: []picture.Person{{Place: picture.Ahead, Label: "lead"}, {Place: picture.Behind, Label: "helper"}}},
		},
		Plan: card.Plan{
			Block: num("20", "min", "15", "25"), Rest: num("10", "min", "", ""),
			Terrain: "Under 5 %, flat run-out; then 8–12 %", Help: "5, firm hold at the hips",
			Helpers: "2: lead at the tips, helper behind at the hips",
			More:    []card.Line{{Label: "Order", Text: "crutch walk, flip, flat, straight, brake, fan"}},
		},
		Handover: []card.Line{
			{Label: "Cue works", Text: "“Copy me”, shown"},
			{Label: "Cue fails", Text: "long sentences", Second: true},
			{Label: "Next step", Text: "straight slide, hips stay over the feet"},
		},
		Contacts: contacts, Trace: trace("c7Qm2XvK9d"),
	}
}

func oskar() card.Content {
	return card.Content{
		FirstName: "Oskar", LessonCode: "O3-14", Day: day, Slot: "13:00–14:30", Goal: "be on snow with his family",
		Hold: &card.Hold{Kind: card.NoStanding,
			Needed: []card.Need{
				{What: "New hip film, and written word that he may stand with load", From: "orthopaedic surgeon"},
			},
			Instead: "Sitting if it does not hurt; else meet, tour, evaluation only"},
		StopWord: "“out”",
		Cautions: []card.Line{
			{Label: "Never", Text: "push the knees apart, also not in a test"},
			{Label: "No", Text: "standing, wedge or spacer"},
			{Label: "Groin hurts", Text: "stop, lift the load, tell the programme lead"},
			stopNow,
		},
		SetUp: card.SetUp{Way: "Sitting, hand over to the sitting lead"},
		Plan: card.Plan{
			Block: num("15", "min", "", ""), Rest: num("15", "min", "", ""),
			Helpers: "2: sitting lead and one helper",
			More:    []card.Line{{Label: "If it hurts", Text: "meet, tour of the hut and the carpet, evaluation seated"}},
		},
		Handover: []card.Line{{Label: "Cue works", Text: "one step, then wait"}, {Label: "Tires", Text: "at 15 min: lifts the left foot, frowns"}},
		Contacts: contacts, Trace: trace("c8Rt5YwL2e"),
	}
}

func walter() card.Content {
	return card.Content{
		FirstName: "Walter", LessonCode: "W5-14", Day: day, Slot: "10:00–12:00", Goal: "ski the blue run with the grandchildren",
		StopWord: "“whoa”",
		Cautions: []card.Line{
			{Label: "Blow to the head", Text: "patrol, then hospital, also if he feels well"},
			{Label: "Never", Text: "pull the right arm; no strap or bar on the right hand"},
			{Label: "Right side", Text: "he does not see there: talk and show from the left"},
			{Label: "Every 30 min", Text: "look at the right foot, skin and toes"},
			stopNow,
		},
		SetUp: card.SetUp{
			Way: "Two skis, one outrigger on the left",
			Sided: []card.SidedSetting{
				{Label: "Outrigger handle", Left: num("94", "cm", "91", "97"), Right: words("none")},
				{Label: "Heel lift", Left: words("none"), Right: num("5", "mm", "5", "10")},
				{Label: "Ankle brace", Left: words("none"), Right: words("out")},
				{Label: "Boot", Left: words("standard"), Right: words("rear entry")},
			},
			Shared: []card.Setting{
				{Label: "Tip tie", Value: words("elastic")}, {Label: "Reins", Value: words("none at start")}, {Label: "Skis", Value: words("160 cm")},
			},
			Figure: &picture.Above{Support: picture.LeftOutrigger, Tie: picture.ElasticTie, LiftR: "heel lift",
				People: []picture.Person{{Place: picture.AtRight, Label: "helper"}, {Place: picture.Ahead, Label: "lead"}}},
		},
		Plan: card.Plan{
			FanLeft: num("30", "°", "", ""), FanRight: num("45", "°", "", ""),
			Block: num("24", "min", "20", "25"), Rest: num("10", "min", "", ""),
			Terrain: "8–12 %, width 30 m, flat run-out", Help: "left turns 4, light hold; right turns 1, shadow",
			Helpers: "2: helper on the right, lead ahead to the left",
		},
		Handover: []card.Line{
			{Label: "Cue works", Text: "“Look at me”, shown from the left"},
			{Label: "Cue fails", Text: "long sentences; anything from the right", Second: true},
			{Label: "Weak turn", Text: "left: the right leg is the outside one"},
			{Label: "Tires", Text: "at 24 min: right toes drop, answers get short"},
			{Label: "Next step", Text: "left fan 45°, three clean stops"},
			{Label: "Lift", Text: "helper on the right, ask for slow", Second: true},
			{Label: "Changed", Text: "handle one hole shorter", Second: true},
		},
		Contacts: contacts, Trace: trace("c5Np8ZxJ4b"),
	}
}

func jonas() card.Content {
	return card.Content{
		FirstName: "Jonas", LessonCode: "J10-14", Day: day, Slot: "09:45–11:45", Goal: "ski with his old friends",
		StopWord: "“halt”; test it first thing today",
		Cautions: []card.Line{
			stopNow,
			{Label: "No", Text: "outriggers or poles: strong pushes prove nothing"},
			{Label: "Seizure", Text: "clear the space, time it, call patrol"},
			{Label: "Sees double", Text: "end the run; it comes when he tires"},
		},
		SetUp: card.SetUp{
			Way: "Two skis in a slider, frame reins",
			Sided: []card.SidedSetting{
				{Label: "Slider handle", Left: card.Value{Measure: "wrist crease to snow, in boots on skis", Unit: "cm", Low: "86", High: "93"},
					Right: card.Value{Measure: "wrist crease to snow, in boots on skis", Unit: "cm", Low: "86", High: "93"}},
			},
			Shared: []card.Setting{
				{Label: "Slider inner width", Value: num("48", "cm", "46", "50")},
				{Label: "Tip tie", Value: words("none")}, {Label: "Reins", Value: words("frame, low rear rings")},
			},
			Figure: &picture.Above{Support: picture.Slider, Reins: picture.FrameReins,
				People: []picture.Person{{Place: picture.Behind, Label: "lead"}, {Place: picture.Ahead, Label: "helper"}, {Place: picture.AtRight, Label: "helper"}}},
		},
		Plan: card.Plan{
			Block: num("16", "min", "12", "16"), Rest: num("10", "min", "", ""),
			Terrain: "Under 5 %, run-out flat or rising", Help: "5, firm hold on the frame",
			Helpers: "3: lead on the reins, one in front, one beside",
			More:    []card.Line{{Label: "Order", Text: "dry fit, frame on the flat, straight, gentle steer"}},
		},
		Handover: []card.Line{
			{Label: "Cue works", Text: "one step, one voice"},
			{Label: "Next step", Text: "stop on the word, three times"},
		},
		Contacts: contacts, Trace: trace("c2Hk6VuM8f"),
	}
}

func ben() card.Content {
	return card.Content{
		FirstName: "Ben", LessonCode: "B12-14", Day: day, Slot: "10:00–11:30", Goal: "steep runs with the club",
		StopWord: "“stop”",
		Cautions: []card.Line{
			{Label: "Old note", Text: "last season’s tie and drills do not match the test"},
			{Label: "Binding", Text: "certified technician resets it after the plate; never on the slope"},
			stopNow,
		},
		SetUp: card.SetUp{
			Way: "Two skis, no aids",
			Sided: []card.SidedSetting{
				{Label: "Lift in the boot", Left: num("10", "mm", "", ""), Right: words("none")},
				{Label: "Plate under binding", Left: num("5", "mm", "5", "12"), Right: words("none")},
			},
			Shared: []card.Setting{{Label: "Tip tie", Value: words("none")}, {Label: "Reins", Value: words("none")}, {Label: "Skis", Value: words("155 cm")}},
			Figure: &picture.Above{LiftL: "plate", People: []picture.Person{{Place: picture.Ahead, Label: "lead"}}},
		},
		Plan: card.Plan{
			FanLeft: num("60", "°", "", ""), FanRight: num("30", "°", "", ""), Block: num("45", "min", "", ""), Rest: num("10", "min", "", ""),
			Terrain: "8–25 %; without the technician easy runs only", Help: "0, independent", Helpers: "1: lead",
		},
		Handover: []card.Line{
			{Label: "Weak turn", Text: "right: the left leg is already straight; compare before and after the plate"},
			{Label: "Next step", Text: "paper test under the left ski, then right turns"},
		},
		Contacts: contacts, Trace: trace("c9Bd3WsN7g"),
	}
}
