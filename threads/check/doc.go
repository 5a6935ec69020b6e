// Package check has the words in which every check of this program answers, and the
// measure by which a word that is nearly right is told from others.
package check
