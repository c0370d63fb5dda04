package programme

// Contents says what is in a store's file: enough to tell whether two files
// hold the same.
type Contents struct {
	Schema int             `json:"schema"` // step of the schema
	Tables []TableContents `json:"tables"`
}

// TableContents is one table: its rows, and the SHA-256 of all their values in
// order, as 64 hex digits.
type TableContents struct {
	Name   string `json:"name"`
	Rows   int64  `json:"rows"`
	Digest string `json:"digest"`
}

// Differs returns the names of the tables that are not the same in both.
func (c Contents) Differs(o Contents) []string {
	other := map[string]TableContents{}
	for _, t := range o.Tables {
		other[t.Name] = t
	}
	var out []string
	for _, t := range c.Tables {
		if other[t.Name] != t {
			out = append(out, t.Name)
		}
		delete(other, t.Name)
	}
	for _, t := range o.Tables {
		if _, left := other[t.Name]; left {
			out = append(out, t.Name)
		}
	}
	return out
}

// Rows returns the number of rows of a table, 0 when there is none such.
func (c Contents) Rows(table string) int64 {
	for _, t := range c.Tables {
		if t.Name == table {
			return t.Rows
		}
	}
	return 0
}
