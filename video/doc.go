// Package video reads and writes video files: it tells what a file holds, gives
// the exact time of every frame, hands out any frame by its number, and writes
// clips: H.264, VP9, and two formats with transparency.
//
// Most callers need two calls: Choose, which returns an Engine, and the engine's
// Probe. An Engine fulfils study.Footage.
//
// There are two engines with the same results. The embedded one is FFmpeg as a
// WebAssembly module inside this program: it needs nothing on the machine, and a
// file is decoded in a sandbox that sees that one file only (clips that are joined
// see each other). It always runs in a
// child process of its own, which is this program started again: main must call
// RunChild before anything else. The native one is ffmpeg and ffprobe of the
// machine, about four times as fast.
//
// Frames are numbered in the order in which they are shown, from 0. Times are
// the file's own time stamps in seconds; nothing is rounded to a frame rate.
// Pixels are those of package mark, after the rotation that the file asks for
// and after non-square pixels were made square. A video file is never changed.
//
// What is written is BT.709, limited range, and says so. Equal frames give equal files on
// one engine of one version. A clip can be written in pieces and joined without encoding
// again, which is when sound and chapters come in.
package video
