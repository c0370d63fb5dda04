package rules

// Rule is one of the house's rules.
type Rule struct {
	Name  string
	Says  string
	Check func(*Tree) []Problem
}

// All lists the rules that look at the tree.
func All() []Rule {
	return []Rule{
		{"core pure", "the core imports only what computes, and earlier parts of itself", CorePure},
		{"inward", "arrows point inward; adapters meet in internal/cli", Inward},
		{"drivers", "only a store imports a SQL driver", Drivers},
		{"documented", "every package says what it is for, every exported thing what it is", Documented},
		{"mapped", "every package stands in ARCHITECTURE.md, with one line", Mapped},
		{"cited", "every source comment names a source that exists", Cited},
		{"sourced", "every figure in the core names its source", Sourced},
		{"parameters", "SQL is never put together from parts", Parameters},
		{"timeless", "time comes in through a clock", Timeless},
		{"short", "no hand-written file is longer than 800 lines", Short},
		{"words", "no word that does not belong here", Words},
		{"hosts", "nothing is fetched from another machine", Hosts},
	}
}
