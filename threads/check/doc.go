// Package check has the words in which every check of this program answers.
package check
