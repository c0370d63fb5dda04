package cli

import (
	"bytes"
	"context"
	"errors"

	paperwork "firnhand/internal/sheet"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// printPaper prints a report out of the records.
func printPaper(_ context.Context, o page.PaperOrder) ([]byte, error) {
	r := paperwork.Report{Title: o.Title, Lead: o.Lead, Foot: o.Foot, MadeAt: o.MadeAt}
	for _, b := range o.Blocks {
		r.Blocks = append(r.Blocks, paperwork.Block{Heading: b.Heading, Lines: b.Lines, Bullets: b.Bullets, Rows: b.Rows, Drawing: b.Drawing, Frame: b.Frame})
	}
	var pdf bytes.Buffer
	err := paperwork.ReportPDF(&pdf, r)
	var refused *paperwork.Error
	switch {
	case errors.As(err, &refused):
		return nil, programme.Refuse(programme.CodeInvalid, "%s", refused.Sentence)
	case err != nil:
		return nil, programme.Fail(programme.CodeInternal, err, "The page could not be printed.")
	}
	return pdf.Bytes(), nil
}
