package verify

import "slices"

// parts lists the checks of each part, in the order they are printed.
var parts = []func() []Check{
	quantityChecks,
	gradeChecks,
	adultChecks,
	otherBodyChecks,
	growthChecks,
	bodyChecks,
	fitChecks,
	stanceChecks,
	bindingChecks,
	textbookChecks,
	referenceChecks,
	tetherChecks,
	hillChecks,
	effortChecks,
	coldChecks,
	liftChecks,
	lessonChecks,
	progressChecks,
}

// All returns every check of the program.
func All() []Check {
	var all []Check
	for _, checks := range parts {
		all = slices.Concat(all, checks())
	}
	return all
}
