package video

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"strings"
	"syscall"
)

// Code names a kind of error for the machine. Codes are stable.
type Code string

// The codes.
const (
	CodeMissing    Code = "video-missing"
	CodeFolder     Code = "video-is-a-folder"
	CodeEmpty      Code = "video-empty"
	CodeNoAccess   Code = "video-no-access"
	CodeNotVideo   Code = "video-not-a-video"
	CodeScript     Code = "video-is-a-list"
	CodeNoPicture  Code = "video-no-picture"
	CodeTruncated  Code = "video-truncated"
	CodeDamaged    Code = "video-damaged"
	CodeTooLarge   Code = "video-too-large"
	CodeTooSmall   Code = "video-too-small"
	CodeNoFrame    Code = "video-no-such-frame"
	CodeChanged    Code = "video-changed"
	CodeDiskFull   Code = "video-disk-full"
	CodeReadOnly   Code = "video-read-only"
	CodeNoEngine   Code = "video-no-engine"
	CodeEngine     Code = "video-engine-failed"
	CodeNotWritten Code = "video-not-written"
)

// Error is one that the user can mend: which file, what is wrong, how to mend it.
type Error struct {
	Code Code
	// Path of the file, or empty.
	Path string
	// What is wrong and how to Mend it, each a part of one line.
	What, Mend string
	// Cause is the error behind it; it may be nil.
	Cause error
}

// Error is one line: where, what, how to mend it.
func (e *Error) Error() string {
	s := e.What
	if e.Path != "" {
		s = e.Path + ": " + s
	}
	if e.Mend != "" {
		s += "; " + e.Mend
	}
	return s
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Cause }

// Is reports whether target is an *Error of the same code.
func (e *Error) Is(target error) bool {
	t, ok := target.(*Error)
	return ok && t.Code == e.Code
}

// Errors to match with errors.Is.
var (
	ErrMissing    = &Error{Code: CodeMissing, What: "there is no such file", Mend: "check the path"}
	ErrFolder     = &Error{Code: CodeFolder, What: "this is a folder, not a video file", Mend: "name one file in it"}
	ErrEmpty      = &Error{Code: CodeEmpty, What: "the file is empty (0 bytes)", Mend: "copy or record it again"}
	ErrNoAccess   = &Error{Code: CodeNoAccess, What: "the file may not be read", Mend: "change its permissions or copy it to a folder of your own"}
	ErrNotVideo   = &Error{Code: CodeNotVideo, What: "this is not a video that can be read", Mend: "use an MP4, MOV, MKV, WebM, AVI or MPEG-TS file from the camera"}
	ErrScript     = &Error{Code: CodeScript, What: "this is a list that names other files, not a video, and it is not followed", Mend: "use the video itself"}
	ErrNoPicture  = &Error{Code: CodeNoPicture, What: "the file has no picture, only sound or data", Mend: "use the file that has the picture"}
	ErrTruncated  = &Error{Code: CodeTruncated, What: "the video is cut off: the file ends before its content does", Mend: "copy it again from the camera and let the copy finish"}
	ErrDamaged    = &Error{Code: CodeDamaged, What: "the video is damaged and cannot be decoded", Mend: "copy it again, or convert it with the program that recorded it"}
	ErrTooLarge   = &Error{Code: CodeTooLarge, What: "the picture is too large"}
	ErrTooSmall   = &Error{Code: CodeTooSmall, What: "the picture is too small to measure on"}
	ErrNoFrame    = &Error{Code: CodeNoFrame, What: "the video has no such frame"}
	ErrChanged    = &Error{Code: CodeChanged, What: "the file is no longer the one that was examined", Mend: "add the video again"}
	ErrDiskFull   = &Error{Code: CodeDiskFull, What: "the disk is full; nothing was written", Mend: "free some space and try again"}
	ErrReadOnly   = &Error{Code: CodeReadOnly, What: "nothing may be written in this folder", Mend: "choose another folder or change its permissions"}
	ErrNoEngine   = &Error{Code: CodeNoEngine, What: "ffmpeg and ffprobe were not found", Mend: "install ffmpeg (5.1 or newer) or use the embedded engine"}
	ErrEngine     = &Error{Code: CodeEngine, What: "the video engine failed", Mend: "try the other engine; mesure doctor says more"}
	ErrNotWritten = &Error{Code: CodeNotWritten, What: "the clip could not be written", Mend: "mesure doctor says what the engine can do"}
)

// on returns the error for this file and cause.
func (e *Error) on(path string, cause error) *Error {
	c := *e
	c.Path, c.Cause = path, cause
	return &c
}

// with returns the error with other words for what is wrong and how to mend it.
func (e *Error) with(what, mend string) *Error {
	c := *e
	c.What, c.Mend = what, mend
	return &c
}

// Hint returns how to mend it, for an error screen that shows it by itself.
func (e *Error) Hint() string { return e.Mend }

// fileKey tells one state of a file from another.
type fileKey struct {
	path    string
	bytes   int64
	changed int64
}

// look checks what can be known about a file before anything decodes it.
func look(path string) (fileKey, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENOTDIR):
		return fileKey{}, ErrMissing.on(path, err)
	case errors.Is(err, fs.ErrPermission):
		return fileKey{}, ErrNoAccess.on(path, err)
	case err != nil:
		return fileKey{}, ErrMissing.on(path, err)
	case info.IsDir():
		return fileKey{}, ErrFolder.on(path, nil)
	case !info.Mode().IsRegular():
		return fileKey{}, ErrNotVideo.with("this is a device or a pipe, not a file", "copy the video into a file first").on(path, nil)
	case info.Size() == 0:
		return fileKey{}, ErrEmpty.on(path, nil)
	}
	f, err := os.Open(path)
	if err != nil {
		return fileKey{}, ErrNoAccess.on(path, err)
	}
	defer f.Close()
	head := make([]byte, 512)
	n, err := io.ReadFull(f, head)
	if n == 0 {
		return fileKey{}, ErrNoAccess.on(path, err)
	}
	if isList(head[:n]) {
		return fileKey{}, ErrScript.on(path, nil)
	}
	return fileKey{path: path, bytes: info.Size(), changed: info.ModTime().UnixNano()}, nil
}

// isList reports whether a file begins like one of the text formats that make a
// demuxer open other files.
func isList(head []byte) bool {
	t := bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\xef\xbb\xbf")), " \t\r\n")
	for _, start := range []string{"ffconcat", "#EXTM3U", "<MPD", "[playlist]", "file '", "file \""} {
		if bytes.HasPrefix(t, []byte(start)) {
			return true
		}
	}
	return bytes.HasPrefix(t, []byte("<?xml")) && bytes.Contains(t, []byte("<MPD"))
}

// looksLikeMovie reports whether a file begins as MP4 and MOV files do.
func looksLikeMovie(path string) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	var head [12]byte
	if _, err := io.ReadFull(f, head[:]); err != nil {
		return false
	}
	switch string(head[4:8]) {
	case "ftyp", "moov", "mdat", "wide", "free", "skip":
		return true
	}
	return false
}

// judge turns the complaints of a tool about an input file into an error.
func judge(path string, said []string, cause error) error {
	all := strings.Join(said, "\n")
	has := func(parts ...string) bool {
		for _, p := range parts {
			if strings.Contains(all, p) {
				return true
			}
		}
		return false
	}
	var e *Error
	switch {
	case has("Unrecognized option", "Option not found"):
		e = ErrEngine.with("this ffmpeg is too old", "install version 5.1 or newer, or use the embedded engine")
	case has("not on whitelist"):
		e = ErrNotVideo
	case has("moov atom not found"):
		e = ErrNotVideo
		if looksLikeMovie(path) {
			e = ErrTruncated
		}
	case has("partial file", "File ended prematurely", "Truncating packet", "EOF while reading input"):
		e = ErrTruncated
	case has("matches no streams", "Stream specifier", "does not contain any stream"):
		e = ErrNoPicture
	case has("Cannot allocate memory", "Failed to allocate", "out of memory"):
		e = ErrTooLarge.with("the picture needs more memory than one video may use", "scale the video down first")
	case has("No such file"):
		e = ErrMissing
	case has("Permission denied"):
		e = ErrNoAccess
	case has("Decoder (codec", "Unknown decoder", "Decoding requested, but no decoder found"):
		e = ErrNotVideo.with("the engine cannot decode this kind of video", "convert it to H.264, or try the other engine")
	case has("Invalid data found", "could not find codec parameters", "Could not find codec parameters"):
		e = ErrNotVideo
		if looksLikeMovie(path) {
			e = ErrDamaged
		}
	default:
		e = ErrDamaged
	}
	if last := lastOf(said); last != "" && cause == nil {
		cause = errors.New(last)
	}
	return e.on(path, cause)
}

// judgeOutput turns the complaints of a tool about an output file into an error.
func judgeOutput(path string, said []string, cause error) error {
	all := strings.Join(said, "\n")
	e := lost(said)
	switch {
	case e != nil:
	case strings.Contains(all, "No space left"), errors.Is(cause, syscall.ENOSPC):
		e = ErrDiskFull
	case strings.Contains(all, "Read-only file system"), strings.Contains(all, "Permission denied"),
		errors.Is(cause, fs.ErrPermission), errors.Is(cause, syscall.EROFS):
		e = ErrReadOnly
	case errors.Is(cause, fs.ErrNotExist):
		e = ErrMissing.with("there is no such folder", "make the folder first")
	default:
		e = ErrNotWritten
	}
	if last := lastOf(said); last != "" {
		cause = errors.New(last)
	}
	return e.on(path, cause)
}

func lastOf(said []string) string {
	if len(said) == 0 {
		return ""
	}
	return said[len(said)-1]
}
