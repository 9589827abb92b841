//go:build noshare

package share

import "context"

// Link stands for a connection in a program that was built without any.
type Link struct{}

var errLeftOut = &Error{text: "this rimegate was built without sharing (tag noshare); get one that has it, or carry the journal over: rimegate journal merge"}

// CheckServer fails, as Dial does.
func CheckServer(string, bool) ([]string, bool, error) { return nil, false, errLeftOut }

// Dial fails: this program has no connection to any server.
func (s *Seat) Dial(context.Context) (*Link, error) { return nil, errLeftOut }

// Unreached holds of every server.
func Unreached(error) bool { return true }

// Whole fails, as Dial does.
func (s *Seat) Whole(context.Context) (*Held, error) { return nil, errLeftOut }

// Idle is never asked.
func (l *Link) Idle(context.Context) bool { return false }

// Exchange fails, as Dial does.
func (l *Link) Exchange(context.Context) (*Report, error) { return nil, errLeftOut }

// Close does nothing.
func (l *Link) Close() {}
