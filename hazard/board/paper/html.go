package paper

import (
	"bytes"
	"embed"
	"html/template"
	"io"
	"sync"
)

//go:embed *.html *.css
var files embed.FS

var pages = sync.OnceValue(func() *template.Template { return template.Must(template.ParseFS(files, "*.html")) })

// What every page looks like, and what a sheet has besides. It stands in the page itself.
func style() template.CSS      { return styleOf("style.css") }
func sheetStyle() template.CSS { return style() + styleOf("sheet.css") }

func styleOf(name string) template.CSS {
	b, err := files.ReadFile(name)
	if err != nil {
		panic(err) // embedded above
	}
	return template.CSS(b)
}

// writeHTML writes a document of one file: the shell around what the named template
// makes of the data. Lang is the language of its words, like "en".
func writeHTML(w io.Writer, style template.CSS, lang, title, page string, data any) error {
	var body bytes.Buffer
	if err := pages().ExecuteTemplate(&body, page, data); err != nil {
		return err
	}
	return pages().ExecuteTemplate(w, "shell.html", map[string]any{
		"Lang": lang, "Title": title, "Style": style, "Body": template.HTML(body.String()), // escaped by its template
	})
}
