package main

import (
	"errors"
	"fmt"
	"strings"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/fields/journal"
	"rimegate/hazard/board"
)

// Exit statuses.
const (
	statusDone    = 0
	statusFailed  = 1
	statusWords   = 2
	statusRefused = 3
	statusJournal = 4
	statusCaution = 10 // today --gate
	statusHold    = 20
	statusBroken  = 130 // told to end by Ctrl-C or the system
)

// statusError ends the program with a status of its own: the words of the command
// line were wrong, the input was refused and nothing stored. Without a message it
// is the answer's own status.
type statusError struct {
	status int
	err    error
}

func (e *statusError) Error() string {
	if e.err == nil {
		return ""
	}
	return e.err.Error()
}

func (e *statusError) Unwrap() error { return e.err }

func usagef(format string, args ...any) error {
	return &statusError{statusWords, fmt.Errorf(format, args...)}
}

func refusef(format string, args ...any) error {
	return &statusError{statusRefused, fmt.Errorf(format, args...)}
}

// ends is the end of a program that has said all it has to say.
func ends(status int) error { return &statusError{status: status} }

// wordsWrong makes a usage error of a refusal where nothing was to be stored.
func wordsWrong(err error) error {
	if err == nil || statusOf(err) != statusRefused {
		return err
	}
	return &statusError{statusWords, err}
}

// statusOf sorts an error by its exit status.
func statusOf(err error) int {
	var (
		own      *statusError
		problem  fields.Problem
		problems fields.Problems
		unknown  *farm.UnknownError
		conflict *journal.ConflictError
		damaged  *journal.DamagedError
		notDemo  *farm.NotDemoError
	)
	switch {
	case err == nil:
		return statusDone
	case errors.As(err, &own):
		return own.status
	case errors.Is(err, journal.ErrMissing):
		return statusWords
	case errors.As(err, &damaged), errors.Is(err, journal.ErrLocked):
		return statusJournal
	case errors.As(err, &problem), errors.As(err, &problems), errors.As(err, &unknown),
		errors.As(err, &conflict), errors.As(err, &notDemo), errors.Is(err, journal.ErrExists):
		return statusRefused
	}
	return statusFailed
}

// maxProblems is how many mistakes of one file are spelled out: nobody reads the
// hundred thousand of a file that is the wrong one.
const maxProblems = 20

// fail prints an error as plain sentences on standard error and returns the
// exit status.
func (p *program) fail(err error) int {
	status := statusOf(err)
	if err == nil || err.Error() == "" {
		return status
	}
	text := err.Error()
	var problems fields.Problems
	var problem fields.Problem
	switch {
	case errors.As(err, &problems):
		var lines []string
		for _, pr := range problems[:min(len(problems), maxProblems)] {
			lines = append(lines, sentenceOf(pr))
		}
		if more := len(problems) - len(lines); more > 0 {
			lines = append(lines, "and "+thousands(more)+" more problems")
		}
		text = strings.Join(lines, "\n")
	case errors.As(err, &problem): // perhaps with a file's name before it
		text = strings.Replace(text, problem.Error(), sentenceOf(problem), 1)
	}
	var damaged *journal.DamagedError
	switch {
	case errors.Is(err, journal.ErrMissing):
		text = fmt.Sprintf("%v\n%s", err, howToBegin)
	case errors.As(err, &damaged):
		text += "\nwithout a copy, `rimegate journal salvage FILE` writes what it still proves to a new file"
	}
	lines := strings.Split(strings.TrimSpace(text), "\n")
	for i, line := range lines {
		line = board.Clean(line)
		if line == "" {
			continue
		}
		if !strings.HasSuffix(line, ".") && !strings.HasSuffix(line, "?") {
			line += "."
		}
		if i == len(lines)-1 && status == statusRefused && !strings.Contains(strings.ToLower(text), "nothing was") {
			line += " Nothing was stored."
		}
		p.tell(line)
	}
	return status
}

// howToBegin says what to type where there is no journal yet.
const howToBegin = "your own farm begins with `rimegate farm set --name NAME --zone America/Regina`; `rimegate demo` shows an invented one"

// note prints a remark that is not part of the answer.
func (p *program) note(text string) { p.tell(text) }

// tell writes one message: on a terminal in lines of its width, elsewhere as
// one line, so that a program can read it.
func (p *program) tell(text string) {
	const who = "rimegate: "
	text = board.Clean(text)
	if p.errWidth == 0 {
		fmt.Fprintln(p.err, who+text)
		return
	}
	for _, l := range board.Wrap(text, who, "  ", p.errWidth) {
		fmt.Fprintln(p.err, l)
	}
}

// sentenceOf prints a problem with the flag it concerns; problems of a file
// keep the field's own name and line.
func sentenceOf(pr fields.Problem) string {
	if pr.Line > 0 || pr.Field == "" || strings.HasPrefix(pr.Field, "--") {
		return pr.Error()
	}
	switch pr.Field {
	case "paddock", "paddocks", "entry":
		pr.Field = ""
		return pr.Error()
	}
	pr.Field = "--" + form.FlagOf(pr.Field)
	return pr.Error()
}
