// Package quantity holds the physical quantities the core computes with, each
// as its own type in its SI unit (Celsius and Ratio aside), together with
// ranges and the steps to which figures are rounded when they are printed.
//
// It is the only place where units convert. A number from outside enters
// through a constructor, which refuses NaN and the infinities, and leaves
// through a method that names its unit:
//
//	h, err := quantity.Centimetres(128) // 1.28 m
//	h.Inches()                          // 50.39...
//
// Inside the core a quantity is an ordinary floating-point number of its unit,
// so arithmetic between quantities of one kind needs no calls.
//
// Rounding happens once, at the edge, by a [Step]; anything decided on a
// printed figure (a colour, a warning) is decided on the rounded value.
package quantity
