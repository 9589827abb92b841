// Package calendar knows what falls on which day: recurring checks (rounds)
// written as recurrence rules of RFC 5545, and the calendar file a phone can
// read. A round is a reminder; it never begins, ends or changes a hold, and no
// withholding period is ever written as a recurrence rule: a hold is a pair of
// dates that the next frost can move.
//
// RFC 5545, "Internet Calendaring and Scheduling Core Object Specification
// (iCalendar)", Internet Engineering Task Force, 2009,
// https://www.rfc-editor.org/rfc/rfc5545
package calendar
