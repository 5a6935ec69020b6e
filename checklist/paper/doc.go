// Package paper puts procedures and their format into words: a filled procedure as
// text and as Markdown, the reference of the format, its JSON Schema, and the files
// to start a procedure of one's own from. It reads nothing back.
package paper
