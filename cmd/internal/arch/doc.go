// Package arch holds no program: its test asserts which package may import
// which, so that a shortcut through a wall is seen the day it is taken.
package arch
