package paper

import (
	"bytes"
	"html/template"
	"io"

	"codeberg.org/go-pdf/fpdf"

	"rimegate/hazard/board"
)

// plainText is the record's text, which every form of it carries.
func plainText(r *board.Record) (string, error) {
	var b bytes.Buffer
	err := r.Text(&b)
	return b.String(), err
}

// RecordHTML writes a record as a page of one file.
func RecordHTML(w io.Writer, r *board.Record) error {
	plain, err := plainText(r)
	if err != nil {
		return err
	}
	return writeHTML(w, style(), "en", r.Title(), "record.html", struct {
		*board.Record
		Picture template.HTML // our own drawing, its texts escaped
		Verify  string
		Plain   string
	}{r, template.HTML(drawSeason(&r.Season, r.Name).svg()), board.RecordVerify, plain})
}

// Where cells of a record stand, mm.
const (
	recordWhen = 46.0
	recordGap  = 3.0
)

// RecordPDF writes a record as a PDF. Its text goes along as a file within.
func RecordPDF(w io.Writer, r *board.Record, size Size) error {
	plain, err := plainText(r)
	if err != nil {
		return err
	}
	d := newPDF(size, "en", r.Title(), r.Title()+"; digest "+r.Digest()[:17], *r.Known)
	d.doc.SetAttachments([]fpdf.Attachment{{Content: []byte(plain), Filename: "record.txt"}})
	d.para(face{bold, 14}, 0, r.Title())
	for _, x := range r.Lead() {
		d.para(face{regular, 10}, 0, x)
	}
	d.season(drawSeason(&r.Season, r.Name))
	for i := range r.Parts {
		p := &r.Parts[i]
		d.title(p.Title)
		for _, x := range p.Says {
			d.para(face{regular, 8.5}, 0, x)
			d.gap(1)
		}
		for j := range p.Rows {
			d.recordRow(&p.Rows[j])
		}
	}
	d.gap(4)
	for _, x := range r.Foot() {
		d.para(face{regular, 9}, 0, x)
	}
	d.rule(0.4)
	d.para(face{regular, 9}, 0, "Digest of the words, SHA-256:")
	d.para(face{mono, 9}, 0, r.Digest())
	d.para(face{regular, 9}, 0, r.Printed)
	d.para(face{regular, 9}, 0, board.RecordVerify)
	return d.write(w)
}

// recordRow writes a row of a record: it stays on one page.
func (d *pdf) recordRow(row *board.RecordRow) {
	d.row(cell{face: face{bold, 9}, width: recordWhen, texts: []string{row.When}},
		cell{face: face{regular, 9.5}, at: recordWhen + recordGap, strong: row.Word, texts: row.Lines})
	d.gap(1.2)
}
