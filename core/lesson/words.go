package lesson

import (
	"fmt"
	"strings"

	"firnhand/core/ladder"
)

// Words says why a block is in a plan.
func (r Role) Words() string {
	return map[Role]string{WarmUp: "works already: begin with it", New: "new", Again: "again, with these aids", LessHelp: "less help",
		Ground: "harder ground", Close: "works: end on it", Rest: "rest"}[r]
}

// Title says a block's skill and side: "K25 uphill turn, 15-30°, to the left".
func (b Block) Title() string {
	if b.Role == Rest {
		return "Rest"
	}
	s := b.Skill.ID + " " + b.Skill.Name
	if w := b.Skill.SideWords(b.Side); w != "" {
		s += ", " + w
	}
	return s
}

// Short is the title where there is little room: "K25 left".
func (b Block) Short() string {
	if b.Role == Rest {
		return "Rest"
	}
	return strings.TrimSpace(b.Skill.ID + " " + b.Side.Word())
}

// HelpWords says the help: "help 4, light hold", and where the level is to come
// down "help 3, tight reins, then down to 1".
func (b Block) HelpWords() string {
	if b.Role == Rest {
		return ""
	}
	level, _ := ladder.Standing().Level(b.Help)
	name := level.Name
	switch {
	case b.NoReins && b.Help == 3:
		name = "led from within reach, no reins"
	case b.NoReins && b.Help == 2:
		name = "within reach for rescue, no reins"
	}
	s := fmt.Sprintf("help %d, %s", b.Help, name)
	if b.Aim < b.Help {
		s += fmt.Sprintf(", then down to %d", b.Aim)
	}
	return s
}

// AfterWords says what has to be clean first; "" where nothing has.
func (b Block) AfterWords() string {
	if len(b.After) == 0 {
		return ""
	}
	last := b.After[len(b.After)-1] // the others come before that one
	return "only after " + strings.TrimSpace(last.Skill+" "+last.Side.Word()) + " was clean"
}
