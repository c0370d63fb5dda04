package page

import (
	"strconv"
	"strings"
)

// NumberMost bounds what is taken for a typed number.
const NumberMost = 1e9

// parseNumber reads a number as people write it: a decimal comma is one, and
// the unit may stand behind it.
func parseNumber(text, unit string) (float64, bool) {
	s := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), unit))
	s = strings.ReplaceAll(strings.ReplaceAll(s, ",", "."), "−", "-") // a true minus sign too
	x, err := strconv.ParseFloat(s, 64)
	return x, err == nil && x == x && x <= NumberMost && x >= -NumberMost
}

// Number reads a typed number that may be missing; nil then, and where it is
// none, which is noted at the field.
func (v *Visit) Number(p *Problems, field, unit string) *float64 {
	text := v.Typed(field)
	if text == "" {
		return nil
	}
	x, ok := parseNumber(text, unit)
	if !ok {
		p.Add(field, "\""+Clip(text)+"\" is not "+aNumber(unit)+".")
		return nil
	}
	return &x
}

// Numbers reads several readings of one thing, parted by spaces, semicolons or
// lines, or by commas where the decimals have a point.
func (v *Visit) Numbers(p *Problems, field, unit string) []float64 {
	return readings(p, field, unit, v.Typed(field))
}

// AskedList is [Visit.Numbers] for a value in the address.
func (v *Visit) AskedList(p *Problems, name string) []float64 {
	return readings(p, name, "", v.R.URL.Query().Get(name))
}

func readings(p *Problems, field, unit, typed string) []float64 {
	var out []float64
	for _, text := range strings.FieldsFunc(typed, func(r rune) bool { return r == ' ' || r == ';' || r == '\n' || r == '\r' || r == '\t' }) {
		parts := []string{strings.Trim(text, ",")}
		if strings.Contains(text, ".") || strings.Count(text, ",") > 1 {
			parts = strings.Split(text, ",")
		}
		for _, one := range parts {
			if one == "" || one == unit {
				continue
			}
			x, ok := parseNumber(one, unit)
			if !ok {
				p.Add(field, "\""+Clip(one)+"\" is not "+aNumber(unit)+". Write readings with spaces between them: 5.2 5.8 6.1.")
				return nil
			}
			out = append(out, x)
		}
	}
	return out
}

func aNumber(unit string) string {
	if unit == "" {
		return "a number"
	}
	return "a number in " + unit
}

// Clip shortens what was typed before it is quoted back.
func Clip(s string) string {
	const most = 30
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "..."
	}
	return s
}

// TextOf writes a number into a box; "" for none.
func TextOf(x *float64) string {
	if x == nil {
		return ""
	}
	return strconv.FormatFloat(*x, 'f', -1, 64)
}

// TextsOf writes readings into a box.
func TextsOf(list []float64) string {
	out := make([]string, len(list))
	for i := range list {
		out[i] = TextOf(&list[i])
	}
	return strings.Join(out, " ")
}

// Asked is [Visit.Number] for a value in the address, which asks and writes
// nothing down.
func (v *Visit) Asked(p *Problems, name, unit string) *float64 {
	text := strings.TrimSpace(v.R.URL.Query().Get(name))
	if text == "" {
		return nil
	}
	x, ok := parseNumber(text, unit)
	if !ok {
		p.Add(name, "\""+Clip(text)+"\" is not "+aNumber(unit)+".")
		return nil
	}
	return &x
}
