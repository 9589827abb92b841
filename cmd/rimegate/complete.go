package main

import (
	"embed"
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields/form"
	"rimegate/hazard/board"
)

// Completion: a shell asks how a line can go on, and is told from the tables of
// commands and forms, and from the journal for the farm's own names. Nothing is
// parsed, nothing runs and nothing is written; what goes wrong is told to nobody.

// completionFlag begins the line of a shell that asks: behind it stand the words
// typed so far, the last of which, perhaps empty, is to be completed. Anywhere else
// on a line it means that nothing may run.
const completionFlag = "--generate-bash-completion"

// wantsFiles is answered where a shell should offer the names of files.
const wantsFiles = ":files"

// lockPatience is how long a key press waits for a journal that another program holds.
const lockPatience = 300 * time.Millisecond

//go:embed completion
var completionScripts embed.FS

// runCompletion prints what a shell reads to complete our commands.
func runCompletion(r *request) error {
	shell := "bash"
	if r.c.NArg() > 0 {
		shell = r.c.Args().First()
	}
	text, err := completionScripts.ReadFile("completion/rimegate." + shell)
	if err != nil || r.c.NArg() > 1 {
		return usagef("`rimegate completion` takes one of %s", strings.Join(literals(r.c.Command.ArgsUsage), ", "))
	}
	_, err = r.out.Write(text)
	return err
}

// completionAsked reports whether a shell asks how a line can go on, and returns
// its words and the one to complete. It looks wherever the flag may have ended up,
// so that no TAB can ever run a command.
func completionAsked(args []string) (before []string, last string, asked bool) {
	i := slices.Index(args, completionFlag)
	switch {
	case i < 1:
		return nil, "", false
	case i == 1 && len(args) > 2:
		n := len(args) - 1
		return args[2:n], args[n], true
	case i > 1 && strings.HasPrefix(args[i-1], "-"):
		return args[1 : i-1], args[i-1], true
	}
	return args[1:i], "", true
}

// namesIn are the names of a sort in a journal, of the usual one if none is named.
func (p *program) namesIn(journal, sort string) [][2]string {
	f := farm.Open(journalAt(journal))
	f.Clock = p.clock
	f.Store().Timeout = lockPatience
	return f.Names(sort)
}

// completion is a line that is to go on.
type completion struct {
	commands []*cli.Command        // that can be named next
	flags    []cli.Flag            // that can be given next, none behind an argument
	about    []*cli.Command        // that an argument can name, of help
	command  *cli.Command          // named last
	group    string                // the command before it
	value    cli.DocGenerationFlag // whose value comes next
	journal  string                // named on the line
	names    func(journal, sort string) [][2]string
}

// complete is how the line can go on, one word a line, behind a TAB what it is.
func complete(
	app *cli.App, names func(journal, sort string) [][2]string, before []string, last string,
) (lines []string) {
	c := &completion{commands: app.Commands, flags: app.Flags, about: app.Commands, names: names}
	open := c.read(before)
	ahead := "" // what stands fast of the word
	if name, val, has := strings.Cut(last, "="); has && !open && strings.HasPrefix(last, "-") {
		if !c.flag(strings.TrimLeft(name, "-")) {
			return nil
		}
		ahead, open = name+"=", true
		last = val
	}
	var words [][2]string
	switch {
	case open:
		words = c.values()
	case strings.HasPrefix(last, "-"):
		words = c.flagNames()
	case len(c.commands) > 0:
		words = commandNames(c.commands)
		if c.command != nil && c.command.Name == helpName {
			words = append(words, c.arguments()...)
		}
	case c.command != nil:
		words = c.arguments()
	}
	if i := strings.LastIndexByte(last, ',') + 1; i > 0 { // of a list its last item is completed
		ahead, last = ahead+last[:i], last[i:]
	}
	for _, w := range words {
		switch {
		case w[0] == wantsFiles:
			lines = append(lines, wantsFiles)
		case w[0] == "" || board.Clean(w[0]) != w[0]: // it cannot be typed
		case strings.HasPrefix(w[0], last):
			lines = append(lines, told(ahead+w[0], w[1]))
		}
	}
	return lines
}

// told is a word with what it is.
func told(word, about string) string {
	if about = strings.TrimSpace(board.Clean(about)); about == "" {
		return word
	}
	return word + "\t" + about
}

// read reads the words before, and reports whether the value of a flag is to come.
func (c *completion) read(before []string) (open bool) {
	for _, w := range before {
		name, val, has := strings.Cut(strings.TrimLeft(w, "-"), "=")
		switch {
		case open:
			c.valued(w)
			open = false
		case strings.HasPrefix(w, "-") && name != "":
			open = c.flag(name) && !has
			if has {
				c.valued(val)
			}
		default:
			c.word(w)
		}
	}
	return open
}

// flag takes the name of a flag and reports whether its value comes next.
func (c *completion) flag(name string) bool {
	for _, f := range c.flags {
		if d, ok := f.(cli.DocGenerationFlag); ok && slices.Contains(f.Names(), name) {
			c.value = d
			return d.TakesValue()
		}
	}
	return false
}

// valued takes the value of that flag.
func (c *completion) valued(text string) {
	if f, ok := c.value.(*cli.StringFlag); ok && f.Name == "journal" {
		c.journal = text
	}
}

// word takes a command or an argument.
func (c *completion) word(w string) {
	i := slices.IndexFunc(c.commands, func(x *cli.Command) bool { return x.HasName(w) })
	if i < 0 {
		c.flags = nil
		if c.command != nil { // help takes a topic or the name of a command
			c.commands = nil
		}
		if i = slices.IndexFunc(c.about, func(x *cli.Command) bool { return x.HasName(w) }); i < 0 {
			c.about = nil
		} else {
			c.about = c.about[i].Subcommands
		}
		return
	}
	if c.command != nil {
		c.group = c.command.Name
	}
	c.command = c.commands[i]
	c.commands, c.flags = c.command.Subcommands, c.command.Flags
}

func commandNames(commands []*cli.Command) (out [][2]string) {
	for _, x := range commands {
		if !x.Hidden {
			out = append(out, [2]string{x.Name, x.Usage})
		}
	}
	return out
}

func (c *completion) flagNames() (out [][2]string) {
	for _, f := range c.flags {
		if d, ok := f.(cli.DocGenerationFlag); ok {
			for _, n := range f.Names() {
				if len(n) > 1 {
					out = append(out, [2]string{"--" + n, strings.ReplaceAll(d.GetUsage(), "`", "")})
				}
			}
		}
	}
	return out
}

// values are what can stand behind a flag, by the type of its field.
func (c *completion) values() (out [][2]string) {
	use := c.value.GetUsage()
	if strings.Contains(use, "`FILE`") || strings.Contains(use, "`FOLDER`") {
		return [][2]string{{wantsFiles}}
	}
	g, _ := c.value.(*cli.GenericFlag)
	if g == nil {
		return nil
	}
	t, _ := g.Value.(*typedText)
	if t == nil || t.field == nil {
		return nil
	}
	f := t.field
	for _, w := range f.Choices {
		out = append(out, [2]string{w, f.Shown[w]})
	}
	switch f.Type {
	case form.File:
		return [][2]string{{wantsFiles}}
	case form.Species, form.Mix:
		return append(out, c.names(c.journal, "species")...)
	case form.Rule:
		return append(out, c.names(c.journal, "rule")...)
	}
	return append(out, c.names(c.journal, f.Of)...)
}

// arguments are what can stand as an argument, by the words in which help shows it.
func (c *completion) arguments() (out [][2]string) {
	if pages, ok := topicPages[c.command.Name]; ok && c.group == helpName {
		for _, p := range pages() {
			if !strings.Contains(p.names[0], " ") {
				out = append(out, [2]string{p.names[0], p.title})
			}
		}
		return out
	}
	for _, w := range literals(c.command.ArgsUsage) {
		switch {
		case w == "SHORT-NAME" && c.command.Name == "set":
			out = append(out, c.names(c.journal, c.group)...)
		case w == "COMMAND...":
			out = append(out, commandNames(c.about)...)
		case strings.HasPrefix(w, "FILE"):
			out = append(out, [2]string{wantsFiles})
		case strings.ToLower(w) == w:
			out = append(out, [2]string{w})
		default:
			out = append(out, c.names(c.journal, strings.TrimSuffix(strings.ToLower(w), "s"))...)
		}
	}
	return out
}

// literals are the words of the arguments of a command, as [PADDOCK|LOT].
func literals(args string) []string {
	return strings.FieldsFunc(args, func(r rune) bool { return strings.ContainsRune(" []|", r) })
}
