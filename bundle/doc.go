// Package bundle reads and writes the versioned files of Mesure: the touch file
// (everything a coach set by hand), the bout file (the score sheet and the videos
// that show it), the placing file (one frame and known points
// of a flat court) and the reading file (everything computed, for export).
//
// Most callers need one call: ReadTouch.
//
// Field names carry their units (sd_px, width_m, offset_s); u and v are always
// pixels of the image frame. Reading is strict: an unknown field, a key given
// twice, an unknown version and a number that is not finite are refused, each in
// one line that says where (a JSON pointer, RFC 6901), what and how to mend it.
// Nothing handed in is modified. doc/formats describes the files in prose and as
// JSON Schema.
package bundle

// Names and versions of the formats, as the files state them.
const (
	TouchFormat   = "mesure-touch"
	BoutFormat    = "mesure-bout"
	PlacingFormat = "mesure-placing"
	ReadingFormat = "mesure-reading"

	TouchVersion   = 1
	BoutVersion    = 1
	PlacingVersion = 1
	ReadingVersion = 4
)

// Limits on what is read, so that a hostile file cannot fill the memory.
const (
	// TouchLimit is the greatest size of a touch file in bytes: 16 MiB hold
	// more than 100 000 marks.
	TouchLimit = 16 << 20
	// BoutLimit is the greatest size of a bout file in bytes.
	BoutLimit = 16 << 20
	// PlacingLimit is the greatest size of a placing file in bytes.
	PlacingLimit = 1 << 20
	// maxValues is how many values a file may hold, objects and lists counted: a
	// mark takes 8, and a million take some 200 MB while they are read.
	maxValues = 1_000_000
	// maxDepth is how deep objects and arrays may be nested; the formats need 6.
	maxDepth = 32
)
