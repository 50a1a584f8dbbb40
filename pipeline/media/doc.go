// Package media turns a clip into frames and frames into a clip.
//
// In flows the path of a file that somebody uploaded; out flow frames in 8-bit
// planar YUV 4:2:0, upright, each with its presentation time in seconds as the
// file states it. The other way, frames flow in and an H.264 file comes out.
//
// Pixels count from the top-left pixel of the upright picture, x right, y down.
// Sample values keep the matrix and the range of the file; Info names both.
//
// Decoding and encoding happen in ffmpeg children, never in this process: each
// child is bounded in memory, processor time and picture size, may open nothing
// but pipes and its one file with one demuxer, has no network where the kernel
// can see to that (package fence), and dies with its context. The
// package never trusts a file's name, never opens an address and never writes
// anywhere but to the path it was given.
package media
