package main

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields/form"
	"rimegate/fields/lazy"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/rules"
)

// helpName is the command that has topics below it and takes other commands' names too.
const helpName = "help"

// docs are the topics of help that are written by hand, as Markdown.
//
//go:embed docs
var docs embed.FS

// topicPage is one page of a topic: its names, the one to type first, and what it says.
type topicPage struct {
	names       []string
	title, text string
}

// topicPages are the pages of each topic that has pages.
var topicPages = map[string]func() []topicPage{
	"cookbook": recipes,
	"glossary": func() []topicPage {
		return sections(document("docs/glossary.md"), "\n## ", func(head string) ([]string, string) {
			return strings.Split(head, ", "), ""
		})
	},
	"contract": func() []topicPage {
		return sections(hazard.Contract(), "\n### ", func(head string) ([]string, string) {
			number, title, _ := strings.Cut(head, " ")
			return []string{number}, title
		})
	},
}

func document(name string) string {
	b, err := docs.ReadFile(name)
	if err != nil {
		panic(err) // it is embedded
	}
	return string(b)
}

// asides are what a document tells its tests, and no reader.
var asides = lazy.Regexp(`(?s)<!--.*?-->\n*`)

// recipes are the cookbook: a file each, named by it, with a title on its first line.
func recipes() (out []topicPage) {
	names, err := fs.Glob(docs, "docs/cookbook/*.md")
	if err != nil {
		panic(err) // the pattern is ours
	}
	for _, name := range names {
		text := asides().ReplaceAllString(document(name), "")
		title, _, _ := strings.Cut(strings.TrimPrefix(text, "# "), "\n")
		out = append(out, topicPage{[]string{strings.TrimSuffix(path.Base(name), ".md")}, title, text})
	}
	return out
}

// sections cuts a document at its headings, which say a page's names and its title.
func sections(text, mark string, says func(head string) ([]string, string)) (out []topicPage) {
	for _, s := range strings.Split("\n"+text, mark)[1:] {
		head, body, _ := strings.Cut(s, "\n")
		body, _, _ = strings.Cut(body, "\n## ")
		names, title := says(head)
		out = append(out, topicPage{names, title, "# " + head + "\n" + body})
	}
	return out
}

// runTopic lists a topic's pages or tells those that are asked for.
func runTopic(r *request) error {
	topic := r.c.Command.Name
	pages := topicPages[topic]()
	word := strings.ToLower(strings.Trim(strings.Join(r.c.Args().Slice(), " "), "§"))
	if word == "" {
		var rows [][]string
		var untitled []string
		for _, p := range pages {
			if p.title == "" {
				untitled = append(untitled, words(p.names))
			} else {
				rows = append(rows, []string{p.names[0], p.title})
			}
		}
		if len(rows) > 0 {
			r.table([]string{strings.ToUpper(topic), ""}, rows)
		}
		r.para("", "", strings.Join(untitled, "; "))
		if topic == "cookbook" {
			r.say("All are told on an invented farm: put your own names, days and figures in.")
		}
		r.say("`rimegate help %s %s` tells one, `rimegate help %s all` all of them; with `| more` behind it a screenful "+
			"at a time.", topic, pages[0].names[0], topic)
		return nil
	}
	asked := func(name string) bool { return strings.EqualFold(name, word) }
	var found []topicPage
	var names []string
	for _, p := range pages {
		names = append(names, p.names...)
		if word == "all" || slices.ContainsFunc(p.names, asked) {
			found = append(found, p)
		}
	}
	begins := slices.DeleteFunc(slices.Clone(names), func(n string) bool { return !strings.HasPrefix(strings.ToLower(n), word) })
	if len(found) == 0 && len(begins) == 1 {
		found = slices.DeleteFunc(pages, func(p topicPage) bool { return !slices.Contains(p.names, begins[0]) })
	}
	if len(found) == 0 {
		if near := form.Closest(word, names); near != "" {
			return usagef("the %s has no %q; did you mean `rimegate help %s %s`?", topic, board.Clean(word), topic, near)
		}
		return usagef("the %s has no %q; `rimegate help %s` lists what it has", topic, board.Clean(word), topic)
	}
	for i, p := range found {
		if i > 0 {
			fmt.Fprintln(r.out)
		}
		r.document(p.text)
	}
	return nil
}

func runLimits(r *request) error {
	r.document(document("docs/limits.md"))
	return nil
}

// runHelpRules is `rules show` of a rule, the help of a command of rules, or else `rules list`.
func runHelpRules(r *request) error {
	words := r.c.Args().Slice()
	if len(words) == 0 {
		return runRules(r)
	}
	i := slices.IndexFunc(r.c.App.Commands, func(c *cli.Command) bool { return c.Name == "rules" })
	if slices.ContainsFunc(r.c.App.Commands[i].Subcommands, func(c *cli.Command) bool { return c.HasName(words[0]) }) {
		return newApp(r.program).Run(append(append([]string{"rimegate", "rules"}, words...), "--help"))
	}
	if _, ok := rules.DocOf(words[0]); ok || words[0] == "all" || strings.Contains(words[0], ".") {
		return runRule(r)
	}
	return runRules(r)
}

// ownLine is a line that begins anew in a paragraph: an item, a row of a table, a source.
var ownLine = lazy.Regexp(`^(?:- |\d+\. |\| |Source: )`)

// tableRule is the line below the head of a table.
var tableRule = lazy.Regexp(`(?m)^\|[-|]+\|\n`)

// document prints Markdown of ours as a terminal shows it: paragraphs in its width, headings
// without their marks, and what is shown as typed or printed as it stands.
func (p *program) document(text string) {
	var para []string
	flush := func() {
		if len(para) > 0 {
			rest := ""
			if ownLine().MatchString(para[0]) {
				rest = "  "
			}
			p.para("", rest, strings.Join(para, " "))
		}
		para = nil
	}
	for _, l := range strings.Split(strings.TrimSpace(tableRule().ReplaceAllString(text, "")), "\n") {
		body := strings.TrimLeft(l, " ")
		switch {
		case strings.HasPrefix(l, "    $ ") && p.colour:
			flush()
			fmt.Fprintln(p.out, "    "+bold+body+plain)
		case body == "" || strings.HasPrefix(l, "    "):
			flush()
			fmt.Fprintln(p.out, l)
		case strings.HasPrefix(l, "#"):
			flush()
			fmt.Fprintln(p.out, strings.TrimLeft(l, "# "))
		default:
			if ownLine().MatchString(body) {
				flush()
			}
			para = append(para, body)
		}
	}
	flush()
}
