package bench

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"ashline/metrics/catalogue"

	"ashline/pipeline/scene"
)

// Num is a figure of a report; one that does not exist is null in JSON.
type Num float64

// MarshalJSON writes null for what is not a number.
func (n Num) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// TrackRow sums up the barrel's path over the scenes of one family.
type TrackRow struct {
	Family       string `json:"family"`
	Scenes       int    `json:"scenes"`
	Refused      int    `json:"refused"`           // scenes, with a reason
	Missed       int    `json:"missed_swings"`     // true ones that were not found
	Extra        int    `json:"extra_swings"`      // found where there is none
	Wrong        int    `json:"wrong_object"`      // scenes
	SurelyWrong  int    `json:"confidently_wrong"` // swings
	ShownSeen    Num    `json:"seen_of_shown"`     // share of the frames that show the band
	Frames       int    `json:"frames"`            // within 0.15 s of contact
	Empty        int    `json:"empty_frames"`      // of them without a place
	SeenPx       Num    `json:"seen_rmse_px"`
	SeenMedianPx Num    `json:"seen_median_px"`
	Seen         int    `json:"seen_frames"`
	HiddenPx     Num    `json:"hidden_rmse_px"` // carried on while the band was truly hidden
	Hidden       int    `json:"hidden_frames"`
	CarriedPx    Num    `json:"carried_rmse_px"` // all frames carried on
	Carried      int    `json:"carried_frames"`
	AttackDeg    Errors `json:"attack_deg"`
	DescentDeg   Errors `json:"descent_deg"`
	GapDeg       Errors `json:"gap_deg"`
	ContactMS    Errors `json:"contact_ms"`
}

// Errors are the sizes of some errors.
type Errors struct {
	N      int `json:"n"`
	Median Num `json:"median"`
	P95    Num `json:"p95"`
}

func sizes(v []float64) Errors {
	return Errors{len(v), Num(quantile(v, 0.5)), Num(quantile(v, 0.95))}
}

func (e Errors) String() string {
	if e.N == 0 {
		return "\t"
	}
	return fmt.Sprintf("%.2f\t%.2f", float64(e.Median), float64(e.P95))
}

// Refusal is a scene that was not measured, or one that was measured wrongly.
type Refusal struct {
	Family string `json:"family"`
	Seed   uint64 `json:"seed"`
	Why    string `json:"why"`
}

// SideRow sums up one tracker over the scenes of one family.
type SideRow struct {
	Family   string `json:"family"`
	Tracker  string `json:"tracker"`
	Scenes   int    `json:"scenes"`
	Lost     int    `json:"lost"`
	Known    Num    `json:"known"` // share of the frames with a place
	RMSEPx   Num    `json:"rmse_px"`
	HeldPx   Num    `json:"held_rmse_px"` // in scenes that were not lost
	MedianPx Num    `json:"median_px"`
	TIoU     Num    `json:"tiou"`
	CPUMS    Num    `json:"cpu_ms_a_frame"`       // of the update, median of the scenes
	WholeMS  Num    `json:"whole_cpu_ms_a_frame"` // of the whole analysis, likewise
}

// TrackReport is the tracking table and, with rivals, the comparison.
type TrackReport struct {
	Rows        []TrackRow    `json:"tracking"`
	Reliability []Reliability `json:"reliability"`
	Bad         []Refusal     `json:"bad"` // refused, wrong, missed or extra
	Sides       []SideRow     `json:"side_by_side,omitempty"`
}

// ReportTrack sums up outcomes by family, and over all when there are several.
func ReportTrack(outs []TrackOutcome) TrackReport {
	var r TrackReport
	add := func(name string, some []TrackOutcome) {
		r.Rows = append(r.Rows, trackRow(name, some))
		r.Sides = append(r.Sides, sideRows(name, some)...)
	}
	r.Reliability = reliability(outs)
	for _, o := range outs {
		if why := o.fault(); why != "" {
			r.Bad = append(r.Bad, Refusal{string(o.Family), o.Seed, why})
		}
	}
	for _, f := range scene.AllFamilies() {
		var some []TrackOutcome
		for _, o := range outs {
			if o.Family == f {
				some = append(some, o)
			}
		}
		if len(some) > 0 {
			add(string(f), some)
		}
	}
	if len(r.Rows) > 1 {
		add("all", outs)
	}
	return r
}

func trackRow(name string, outs []TrackOutcome) TrackRow {
	r := TrackRow{Family: name, Scenes: len(outs)}
	shown, shownSeen := 0, 0
	var seen, hidden, carried, contact []float64
	errs := map[catalogue.Metric][]float64{}
	for _, o := range outs {
		if o.Err != nil {
			r.Refused++
			continue
		}
		if o.Wrong > 0 {
			r.Wrong++
		}
		r.Frames, r.Empty = r.Frames+o.Frames, r.Empty+o.Empty
		shown, shownSeen = shown+o.Shown, shownSeen+o.ShownSeen
		seen, hidden, carried = append(seen, o.AroundPx...), append(hidden, o.HiddenPx...), append(carried, o.CarriedPx...)
		pairs, missed, extra := o.pairs()
		r.Missed, r.Extra, r.SurelyWrong = r.Missed+missed, r.Extra+extra, r.SurelyWrong+o.surelyWrong()
		for _, p := range pairs {
			contact = append(contact, 1000*math.Abs(*p.got.Keys.Contact.Frame-*p.want.Keys.Contact.Frame)/o.Truth.FPS)
			for _, m := range []catalogue.Metric{catalogue.PlaneAttackDeg, catalogue.PitchDescentDeg, catalogue.PlaneGapDeg} {
				if want, ok := p.want.Metrics[m.Path()]; ok && p.got.Metrics[m].Known() {
					errs[m] = append(errs[m], math.Abs(p.got.Metrics[m].Float()-want))
				}
			}
		}
	}
	r.Seen, r.Hidden, r.Carried = len(seen), len(hidden), len(carried)
	r.SeenPx, r.HiddenPx, r.CarriedPx = Num(rms(seen)), Num(rms(hidden)), Num(rms(carried))
	r.SeenMedianPx = Num(quantile(seen, 0.5))
	r.ShownSeen = Num(float64(shownSeen) / float64(shown))
	r.AttackDeg, r.DescentDeg, r.GapDeg = sizes(errs[catalogue.PlaneAttackDeg]), sizes(errs[catalogue.PitchDescentDeg]), sizes(errs[catalogue.PlaneGapDeg])
	r.ContactMS = sizes(contact)
	return r
}

// fault is what is wrong with the outcome, empty when nothing is.
func (o *TrackOutcome) fault() string {
	if o.Err != nil {
		why, _, _ := strings.Cut(o.Err.Error(), "\n")
		return "refused: " + why
	}
	var said []string
	count := func(n int, what string) {
		if n > 0 {
			said = append(said, fmt.Sprintf("%d %s", n, what))
		}
	}
	_, missed, extra := o.pairs()
	count(o.Wrong, "frames on another object")
	count(missed, "swings missed")
	count(extra, "swings too many")
	count(o.surelyWrong()-extra, "swings with a confidently wrong angle")
	return strings.Join(said, ", ")
}

func sideRows(name string, outs []TrackOutcome) []SideRow {
	var names []string
	byName := map[string][]Side{}
	for _, o := range outs {
		for _, s := range o.Sides {
			if _, ok := byName[s.Name]; !ok {
				names = append(names, s.Name)
			}
			byName[s.Name] = append(byName[s.Name], s)
		}
	}
	var rows []SideRow
	for _, n := range names {
		r := SideRow{Family: name, Tracker: n, Scenes: len(byName[n])}
		frames, known := 0, 0
		var all, held, iou, cpu, whole []float64
		for _, s := range byName[n] {
			frames, known = frames+s.Frames, known+s.Known
			all, iou = append(all, s.ErrorsPx...), append(iou, s.TIoU...)
			if s.Lost {
				r.Lost++
			} else {
				held = append(held, s.ErrorsPx...)
			}
			if !math.IsNaN(s.CPUMS) {
				cpu = append(cpu, s.CPUMS)
			}
			if !math.IsNaN(s.WholeMS) {
				whole = append(whole, s.WholeMS)
			}
		}
		r.Known = Num(float64(known) / float64(max(frames, 1)))
		r.RMSEPx, r.HeldPx, r.MedianPx = Num(rms(all)), Num(rms(held)), Num(quantile(all, 0.5))
		r.TIoU, r.CPUMS, r.WholeMS = Num(mean(iou)), Num(quantile(cpu, 0.5)), Num(quantile(whole, 0.5))
		rows = append(rows, r)
	}
	return rows
}

// mean of nothing is NaN.
func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// Write prints the tables.
func (r TrackReport) Write(w io.Writer) error {
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	px := func(v Num, n int) string {
		if n == 0 {
			return "\t0"
		}
		return fmt.Sprintf("%.2f\t%d", float64(v), n)
	}
	deg := func(v Num) string {
		if math.IsNaN(float64(v)) {
			return ""
		}
		return fmt.Sprintf("%.2f", float64(v))
	}
	fmt.Fprintln(tw, "family\tscenes\trefused\tmissed\textra\twrong object\tsurely wrong\tseen of shown\tseen px\tframes\tmedian px\thidden px\tframes\tcarried px\tframes\tempty\tattack °\tp95\tdescent °\tp95\tgap °\tp95\tcontact ms\tp95\t")
	for _, x := range r.Rows {
		fmt.Fprintf(tw, "%s\t%d\t%d\t%d\t%d\t%d\t%d\t%.1f %%\t%s\t%s\t%s\t%s\t%d\t%v\t%v\t%v\t%v\t\n", x.Family, x.Scenes, x.Refused, x.Missed, x.Extra, x.Wrong, x.SurelyWrong, 100*float64(x.ShownSeen),
			px(x.SeenPx, x.Seen), deg(x.SeenMedianPx), px(x.HiddenPx, x.Hidden), px(x.CarriedPx, x.Carried), x.Empty, x.AttackDeg, x.DescentDeg, x.GapDeg, x.ContactMS)
	}
	if err := tw.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(w)
	tw = tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(tw, "path_confidence\tclips\tframes seen\ton the bat\t")
	for _, x := range r.Reliability {
		fmt.Fprintf(tw, "%.1f–%.1f\t%d\t%d\t%.2f %%\t\n", x.Low, x.High, x.Clips, x.Frames, 100*float64(x.OnBat)/float64(max(1, x.Frames)))
	}
	if err := tw.Flush(); err != nil {
		return err
	}
	if len(r.Bad) > 0 {
		fmt.Fprintln(w)
	}
	for _, x := range r.Bad {
		fmt.Fprintf(w, "%s %d: %s\n", x.Family, x.Seed, x.Why)
	}
	if len(r.Sides) == 0 {
		return nil
	}
	fmt.Fprintln(w)
	tw = tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(tw, "family\ttracker\tscenes\tlost\tknown\tRMSE px\theld px\tmedian px\tTIoU\tCPU ms a frame\twhole ms\t")
	for _, x := range r.Sides {
		fmt.Fprintf(tw, "%s\t%s\t%d\t%d\t%.0f %%\t%s\t%s\t%s\t%.3f\t%s\t%s\t\n", x.Family, x.Tracker, x.Scenes, x.Lost, 100*float64(x.Known),
			deg(x.RMSEPx), deg(x.HeldPx), deg(x.MedianPx), float64(x.TIoU), deg(x.CPUMS), deg(x.WholeMS))
	}
	return tw.Flush()
}
