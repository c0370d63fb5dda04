package source_test

import (
	"fmt"

	"firnhand/core/source"
)

func ExampleFigure() {
	d, _ := source.Figure("elbow_bend_wrist_crease")
	w, _ := source.Reference(d.Ref)
	fmt.Println(d.Value, d.SD, d.Unit, "-", w.Text)
	// Output: 25.4 6.1 deg - Kumar, Roe and Scremin 1995, Arch Phys Med Rehabil 76:1173
}

func ExampleReference() {
	w, ok := source.Reference("CP")
	fmt.Println(w.Text, ok)
	// Output: Common practice of the trade, no source true
}

func ExampleTable() {
	slope, _ := source.Table("slope_grades").Where("class", "beginner").Only()
	low, _ := slope.Number("low_pct")
	high, _ := slope.Number("high_pct")
	fmt.Println(low, high, slope.Ref())
	// Output: 8 12 S39
}
