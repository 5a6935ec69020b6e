// Package job keeps a refit under way: a folder holding a frozen copy of its
// procedure and one append-only log for every device that works on it.
//
// An entry is one line of JSON with its own check sum (line.go). Saving writes
// it twice, to the device's private copy and to the job's folder, and says
// "saved" only when both are on the disk (save.go). Reading takes the union of
// every log in the folder, copies made by sync tools included (read.go), and
// the state of the job is a fold over that union in any order of arrival
// (fold.go). Nothing that was written is ever changed, renamed or deleted.
package job
