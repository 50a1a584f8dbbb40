// Package bundle lays a measured clip's files out in the store so that a
// result exists exactly once. A folder of files flows in, objects and a
// manifest flow out, and back again on download. Sizes are bytes.
//
//	swings/ACADEMY/HITTER/BUNDLE/manifest.json      the commit, last
//	swings/ACADEMY/HITTER/BUNDLE/CONTENT/NAME…      the files
//
// BUNDLE is derived from the clip's SHA-256, the cards', the program's version
// and the products asked for: the same question has the same place. CONTENT is
// derived from the files' own SHA-256. Two workers that answer the same question
// with different bytes therefore never write over each other, and the manifest of
// the first stays true; the second's files are waste, not damage.
//
// The key of the manifest holds the failures of submissions that ended without a
// bundle; the manifest, when there is one, takes them over. Each write there names
// the version that it replaces, so bundle and failure of one submission exclude
// each other, however late a worker's request reaches the store. The store must
// honour If-None-Match and If-Match on PUT. What a manifest says is never changed,
// and no object is removed.
package bundle
