package programmetest_test

import (
	"testing"

	"firnhand/programme"
	"firnhand/programme/programmetest"
)

func TestMemory(t *testing.T) {
	programmetest.Exercise(t, func(*testing.T) programme.Store { return programmetest.NewMemory() })
	programmetest.ExerciseKeyIDs(t, func(*testing.T) programme.Store { return programmetest.NewMemory() })
}

func TestMemorySignIn(t *testing.T) {
	programmetest.ExerciseSignIn(t, func(*testing.T) programme.SignInStore { return programmetest.NewMemory() })
}
