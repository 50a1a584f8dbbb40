// Package report writes the page that goes to the hitter: report.html, one file that
// opens from disk or over HTTP with nothing but its neighbours (overlay.mp4,
// stills/*.png) beside it; compare.html, the same for two swings; and captions.vtt
// (WebVTT, W3C) with the key positions at the video's times.
//
// In flow metrics.Result (SI units, 95 % intervals), metrics.PlanePath and where in
// the video, in frames shown, the key positions are; out flow files, the same bytes
// each time. Pages show ms, cm, degrees, m/s, and in, ft, mph beside them.
//
// Texts from cards, clips and other programs are shown as text and turn nothing
// around them. A page loads nothing from elsewhere and runs no script but its own:
// its policy names both by hash. It measures nothing and reads no file.
package report
