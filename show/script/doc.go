// Package script drafts what a coach says over one touch, from what was computed of it.
//
// Most callers need three calls: Draft for a new script, Refresh for one that was
// written before the last measurement, and WriteMarkdown for the page.
//
// A script has five parts: opening, technique, tactics, timing and take-away. A part is
// lines, a line is pieces: plain words, or a number that is bound to a fact of the
// reading by its Ref. A number is printed as package plate rounds it, with its ±. What
// the reading does not know has no line, and a part without lines is left out.
//
// What is said and how are apart. The files say*.go choose the claim, by the constants
// of claims.go: a claim is never stronger than its interval. A Language has the
// sentences, three to a claim: one for a beginner, a club fencer and a competitor. They
// differ in words and depth; a fact that two of them state has one printed value.
//
// The draft is words for a voice: Time says how long it takes to say.
package script
