package source

import (
	"strings"
	"testing"
	"testing/fstest"
)

// good is the smallest library that loads.
func good() map[string]string {
	return map[string]string{
		"works":   "mark,text,status,note\nA,A paper,exact,\n",
		"figures": "id,quantity,value,low,high,sd,unit,ref,place,status,alt,note\nx,size,1,,,,m,A,,exact,,\n",
		"tables":  "name,title,ref,place,status,numbers,note\nt,A table,A,,exact,v,\n",
		"t":       "v,ref\n2,\n",
		"errata":  "where,row,printed,used,why\nx,,1,2,\nt,,1,2,\n",
	}
}

func inMemory(m map[string]string) fstest.MapFS {
	fs := fstest.MapFS{}
	for name, text := range m {
		fs["tables/"+name+".csv"] = &fstest.MapFile{Data: []byte(text)}
	}
	return fs
}

func TestLoadGood(t *testing.T) {
	l, err := load(inMemory(good()))
	if err != nil || len(l.works) != 1 || len(l.data) != 1 || len(l.sheets) != 1 || len(l.errata) != 2 {
		t.Errorf("%+v, %v", l, err)
	}
}

// Each fault in a file is refused with a sentence that names the place.
func TestLoadRefuses(t *testing.T) {
	for _, c := range []struct {
		fault, file, old, new, want string
	}{
		{"no works", "works", "", "-", "no table file works"},
		{"no figures", "figures", "", "-", "no table file figures"},
		{"no list", "tables", "", "-", "no table file tables"},
		{"no errata", "errata", "", "-", "no table file errata"},
		{"no table", "t", "", "-", "no table file t"},
		{"ragged row", "t", "2,", "2", "wrong number of fields"},
		{"empty table", "t", "2,\n", "", "t has no rows"},
		{"word for number", "t", "2,", "two,", "t: row 1 has no number in v"},
		{"NaN", "t", "2,", "NaN,", "t: row 1 has no number in v"},
		{"infinity", "t", "2,", "Inf,", "t: row 1 has no number in v"},
		{"missing column", "tables", ",v,", ",w,", "t has no column w"},
		{"row with unknown work", "t", "2,", "2,B", `t: row 1 cites the unknown work "B"`},
		{"row without work", "tables", "A table,A,", "A table,,", `t: row 1 cites the unknown work ""`},
		{"row with unknown status", "tables", "exact", "sure", `unknown status "sure"`},
		{"work without text", "works", "A paper", "", "work A lacks"},
		{"work with unknown status", "works", "exact", "sure", "work A lacks"},
		{"work twice", "works", "A,A paper,exact,\n", "A,A paper,exact,\nA,B,exact,\n", "mark A twice"},
		{"figure without value", "figures", ",1,", ",,", "figure x has no value"},
		{"figure without unit", "figures", ",m,", ",,", "figure x lacks"},
		{"figure twice", "figures", "x,size,1,,,,m,A,,exact,,\n", "x,size,1,,,,m,A,,exact,,\nx,size,1,,,,m,A,,exact,,\n", "figure x twice"},
		{"figure under its low", "figures", ",1,,", ",1,2,", "outside its own limits"},
		{"figure over its high", "figures", ",1,,,", ",1,,0,", "outside its own limits"},
		{"negative spread", "figures", ",1,,,,", ",1,,,-1,", "outside its own limits"},
		{"figure with unknown work", "figures", ",A,", ",B,", `figure x cites the unknown work "B"`},
		{"erratum of nothing", "errata", "x,", "y,", "no figure or table y"},
	} {
		t.Run(c.fault, func(t *testing.T) {
			m := good()
			if c.new == "-" {
				delete(m, c.file)
			} else {
				changed := strings.Replace(m[c.file], c.old, c.new, 1)
				if changed == m[c.file] {
					t.Fatal("the fault changed nothing")
				}
				m[c.file] = changed
			}
			_, err := load(inMemory(m))
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want a sentence with %q", err, c.want)
			}
			defer func() {
				if recover() == nil {
					t.Error("must let a broken library through")
				}
			}()
			must(nil, err)
		})
	}
}
