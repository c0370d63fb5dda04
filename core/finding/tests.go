package finding

import "slices"

// Test is one step of the evaluation: how it is done and why it matters, in
// words that can be read out beside the rail.
type Test struct {
	Number   string   // "1" to "19", as in Def.Test
	Title    string   // "Free standing"
	How      string   // what to do, in order
	Why      string   // what it decides
	Care     string   // what to look out for, or when to break it off; may be empty
	Minutes  float64  // about how long it takes; common practice, to plan the evaluation
	Findings []string // ids of the findings it records, in vocabulary order
}

// Before is read once, before the first test. Order and habit follow the usual
// sequence of a standing evaluation: watch, ask, test, test again tired.
const Before = "Indoors, beside a rail, a helper behind; in shoes first, in ski boots from the load test on. " +
	"Watch the student arrive, ask before each touch, test both sides and write left and right as the student's own. " +
	"Whatever was not tested stays unknown. Pain, dizziness or a no from the student ends the test, and that is a finding too."

// Tests returns the tests of the evaluation in the order they are done. The
// slice is the caller's own.
func Tests() []Test {
	out := slices.Clone(tests)
	for i := range out {
		for _, d := range ordered {
			if d.Test == out[i].Number {
				out[i].Findings = append(out[i].Findings, d.ID)
			}
		}
	}
	return out
}

// tests holds the how and the why. Basis: the sequence B1 and the decision
// table B2 of the trade's working knowledge (common practice unless marked
// there).
var tests = []Test{
	{Number: "1", Title: "Walking", Minutes: 1,
		How: "Walk 10 m, turn to the left, walk back, turn to the right. The student uses what they use outdoors. Then ask for ten steps alone, a helper within reach.",
		Why: "Walking is the first guide to standing on skis with nothing, with hand aids or in a slider."},
	{Number: "2", Title: "Free standing", Minutes: 1,
		How:  "Feet as wide as the hips, eyes open, no hands. Count the seconds and stop at 60. See how wide the feet have to be.",
		Why:  "The seconds say whether two hands are free, whether one outrigger could be enough, or whether a frame is needed.",
		Care: "One helper behind, hands ready at the hips."},
	{Number: "3", Title: "Load test", Minutes: 3,
		How:  "In ski boots, both hands on the rail, hips over the feet as on skis. Hold for 2 minutes. It passes when no knee buckles and nothing hurts.",
		Why:  "If the legs cannot carry with boots helping, no frame will carry instead: the answer is sitting.",
		Care: "Ask about pain at each half minute. Hip or groin pain ends the test and standing for today."},
	{Number: "4", Title: "One leg", Minutes: 2,
		How:  "One hand touches the rail. Lift one foot and count the seconds, then five small knee bends on the standing leg. Both legs.",
		Why:  "It shows whether one ski is possible and how well single steps will go.",
		Care: "Leave out a leg that may not be loaded, and write that it cannot be tested."},
	{Number: "5", Title: "Knee bend", Minutes: 1,
		How: "Heels on the floor, bend both knees to about 30 degrees and come up, five times. Look from the front: knees over the toes, falling in, or falling out. Look from the side: hips over the feet, or behind.",
		Why: "The stance on skis is this bend. What goes wrong here asks for a heel lift, a shim or another boot."},
	{Number: "6", Title: "Braces", Minutes: 2,
		How:  "See the foot with the brace on, without it, and in the ski boot. Bring the foot square by hand. Ask what the prescriber said.",
		Why:  "A ski boot often does the brace's job; where it cannot, the brace stays in and the boot must be wider.",
		Care: "Look at the skin under the brace. An open spot ends the day on skis."},
	{Number: "7", Title: "Ankle and leg length", Minutes: 2,
		How:  "Seated, knee bent: bring the foot up by hand and read the ankle's bend in degrees. Standing: put blocks under the shorter leg until the hips are level and read the height. Slide paper under the edges of the foot.",
		Why:  "A boot leans about 17 degrees; an ankle that bends less pushes the hips back unless the heel is raised. A short leg looks like a weak one until it is level.",
		Care: "Move stiff joints slowly and never past the first pain."},
	{Number: "8", Title: "Legs apart from each other", Minutes: 2,
		How: "Held at the hips: move one foot forward, back, out, in, toes in, toes out, then march. Write whether it goes alone, drags the other leg along, or does not go.",
		Why: "Toes in, alone, with a good push out makes a wedge. Where it is missing, turns into that side are taught without one."},
	{Number: "9", Title: "Push at each knee", Minutes: 2,
		How:  "At the rail, feet still, the length block in if one is needed. Your hand outside the knee: \"push out\". Your hand inside: \"push in\". Score each 0 to 4: 0 nothing, 1 moves with gravity taken away, 2 gives to a touch, 3 holds two fingers, 4 holds a flat hand. Left and right.",
		Why:  "It decides the tip tie and the spacer, and foretells which turn will lag: the outside leg is the one that works.",
		Care: "You push against the student's push; you never stretch the knees apart. Leave it out when the hip hurts or its film is overdue."},
	{Number: "10", Title: "Crossing and spreading", Minutes: 2,
		How:  "Both arms up, then a loud clap nearby (say so before), then a small bounce. Watch whether the legs cross or split: never, when excited or tired, or at rest already. Measure the gap between the boots standing relaxed.",
		Why:  "Legs that cross take the skis with them; a tie, or a tie with a spacer as wide as the natural gap, keeps them apart.",
		Care: "Leave the clap out for anybody with seizures or a strong startle."},
	{Number: "11", Title: "Trunk", Minutes: 1,
		How: "Seated, feet on the floor, hands in the lap. Nudge gently from the front, the back and both sides. Ask whether sitting hurts.",
		Why: "A trunk that recovers can use one outrigger; one that needs hands wants the frame of a slider; one that cannot sit up does not stand on skis."},
	{Number: "12", Title: "Head", Minutes: 10,
		How:  "Helmet on for 10 minutes while the other tests go on. Now and then ask the student to look around.",
		Why:  "Without a helmet nobody skis, and a head that sinks under it ends standing for today.",
		Care: "New neck pain or a tilted head: helmet off and stop."},
	{Number: "13", Title: "Grip and arms", Minutes: 2,
		How:  "Hold a cuffed crutch and squeeze; then push the crutch down into the floor, first one hand, then the other. Score both 0 to 4. Ask about the shoulders and look at their shape.",
		Why:  "Outriggers are held and leaned on. Both hands strong enough: two. One hand: perhaps one. None: a slider.",
		Care: "Never pull an arm to test it."},
	{Number: "14", Title: "Placing the crutch", Minutes: 2,
		How: "Standing at the rail, put the crutch tip on a mark 10 cm wide, five times with each hand. Count the hits and see whether balance is kept while the crutch is in the air.",
		Why: "Aim beats strength: an outrigger that lands anywhere throws the student, however strong the arm is."},
	{Number: "15", Title: "Feeling", Minutes: 2,
		How: "Eyes shut: light touch, then something warm and something cold, on the sole and the toes. Each foot full, reduced or none.",
		Why: "Feet that cannot warn have to be looked at by the clock."},
	{Number: "16", Title: "Startle", Minutes: 1,
		How:  "Watch what a sudden noise does, what a quick push up under the forefoot does, and whether turning the head moves the arms.",
		Why:  "A strong startle asks for a quiet start, one voice, and a calm corner of the hill.",
		Care: "Say what is coming. Leave it out for anybody with seizures."},
	{Number: "17", Title: "Seeing and hearing", Minutes: 2,
		How: "Fingers to count at 1, 3 and 6 m, then fingers moved in from all four quarters, one eye and then the other. Once more outside in snow light. Speak from each side without being seen.",
		Why: "Short sight asks for a guide. A gap in the view decides where the helper stands and from which side to speak."},
	{Number: "18", Title: "Lasting", Minutes: 12,
		How:  "Ten minutes of walking and standing. Then repeat walking, free standing and the push at the knees, and write the second values as tired. Note the minute at which quality dropped.",
		Why:  "The worse of fresh and tired decides whatever keeps the student upright, and the minutes set the length of a block.",
		Care: "Stop when quality drops: that minute is the result."},
	{Number: "19", Title: "What works to say", Minutes: 3,
		How: "One thing to do, then two in a row, then \"copy me\", then \"stop\" in the middle of moving. Agree the stop word or sign. Count the seconds from the word to the stop.",
		Why: "The cue that works goes on the card, and a slow stop or a student who may run off asks for reins or one more person."},
}
