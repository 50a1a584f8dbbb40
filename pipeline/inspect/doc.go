// Package inspect shows what the program saw in a clip, for the person who must find out
// why it was measured wrongly or not at all.
//
// Sightings, what was found in them and the Study of it go in; debug.mp4 comes out,
// every frame with the patches that competed, what was chosen, how it is known and how
// sure, above a strip of the clip's course; and debug.txt, the same in words and
// figures. Places are px of the steadied picture; each frame takes them to where they
// were filmed.
package inspect
