package main

import (
	"github.com/urfave/cli/v2"

	"rimegate/fields"
)

func officeForms() []kindForm {
	return []kindForm{
		{
			kind: "round", usage: "a recurring check",
			more: `
   rimegate log round --name "walk regrowth" --every "FREQ=WEEKLY;BYDAY=MO,TH" --paddocks bench`,
			flags: []cli.Flag{
				text("name", "its `NAME`"),
				text("every", "when it falls: `RULE` of RFC 5545, daily or coarser, like FREQ=WEEKLY;BYDAY=MO"),
				text("what", "`WHAT` is to be done"),
				list("paddocks", "`PADDOCKS` it is about"),
			},
			build: func(f *form) []fields.Body {
				return []fields.Body{&fields.Round{
					Name: f.must("name", "give the round a name"), RRule: f.must("every", "like FREQ=DAILY or FREQ=WEEKLY;BYDAY=MO"),
					What: f.text("what"), Paddocks: f.paddockList("paddocks"),
				}}
			},
		},
		{
			kind: "done", usage: "a round or task was carried out",
			more: `
   rimegate log done --round "walk the regrowth"
   rimegate log done --task "took the logger down"`,
			flags: []cli.Flag{text("round", "the `NAME` of the round"), text("task", "the `TASK`")},
			build: func(f *form) []fields.Body {
				if f.has("round") == f.has("task") {
					f.wrong("round", "or --task is needed", "say what was done, by one of the two")
				}
				return []fields.Body{&fields.Done{Round: f.text("round"), Task: f.text("task")}}
			},
		},
		{
			kind: "read", usage: "you have read today's sheet",
			more:  "\n   rimegate log read --by Tobias",
			build: func(*form) []fields.Body { return []fields.Body{&fields.Read{}} },
		},
		{
			kind: "override", usage: "use another published value for a rule",
			more: `
A less cautious value prints RELAXED on every sheet until its last day. See
` + "`rimegate rules show RULE`" + ` for the values that can be chosen.

   rimegate log override --rule prussic.frost.wait --value 10 --because "advised by the extension office" --until 30-Nov`,
			flags: []cli.Flag{
				text("rule", "the `RULE`'s id"),
				text("value", "its new `VALUE`: a number in the rule's own unit, or a word"),
				text("because", "the `REASON`"),
				text("source", "the `PUBLICATION` it comes from"),
				text("until", "last `DAY` it holds"),
			},
			build: func(f *form) []fields.Body {
				b := &fields.Override{
					Rule: f.must("rule", "`rimegate rules list` shows every rule"), Because: f.must("because", "say why"),
					Source: f.text("source"), Until: f.ahead("until"),
				}
				if s := f.must("value", "type the new value"); s != "" {
					b.Value = &fields.RuleValue{Word: s}
					if n, err := fields.ParseNumber(s); err == nil {
						b.Value = &fields.RuleValue{Number: &n}
					}
				}
				return []fields.Body{b}
			},
		},
	}
}
