// Package sqlite keeps a library in one folder: documents with their revisions
// in a SQLite database, videos as files named by their content. It fulfils
// study.Library; the contract stands there.
//
// Most callers need one call: Open.
//
//	library.db     documents and the list of media (SQLite, write-ahead log)
//	media/ab/ab12… the videos, each named by its SHA-256
//	lock           held while a process has the library open
//
// Nothing inside names the folder itself, so a closed library may be moved or
// copied as a whole. What was acknowledged survives the death of the process and
// of the machine; what was not, never shows.
package sqlite
