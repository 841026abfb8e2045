package bundle

import (
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
)

// trackFile is a track in columns, one entry a frame: a tenth of the size of an
// object for each frame, and a column is what a notebook wants.
type trackFile struct {
	Take     string     `json:"take" match:"line" say:"The take."`
	Who      string     `json:"who" one:"left|right" say:"The fencer."`
	What     string     `json:"what" match:"line" say:"The point of interest."`
	Peak     *float64   `json:"peak_m_s" min:"0" say:"The greatest speed, in metres a second; null where too little was followed."`
	PeakSD   *float64   `json:"peak_sd_m_s" min:"0" say:"Its standard deviation."`
	PeakAt   *float64   `json:"peak_at_s" say:"When, on the clock of the bout."`
	Bias     *float64   `json:"peak_bias_m_s" say:"How much too great the smoothing makes it; taken off nowhere. Null where it is not known."`
	BiasSD   *float64   `json:"peak_bias_sd_m_s" min:"0" say:"Its standard deviation."`
	Outliers []int      `json:"outlier_frames" min:"0" say:"Frames whose place the smoother turned away."`
	Frame    []int      `json:"frame" min:"0" say:"The frames. Each list from here on has an entry for each of them."`
	At       []float64  `json:"at_s" say:"Instant on the clock of the bout, in seconds."`
	State    []string   `json:"state" one:"marked|followed|lost|hidden" say:"Set by hand, followed, lost, or said by hand to be out of sight."`
	SeenU    []*float64 `json:"seen_u_px" say:"Where it was marked or followed to in the picture, to the right; null elsewhere."`
	SeenV    []*float64 `json:"seen_v_px" say:"The same, down."`
	SeenSD   []*float64 `json:"seen_sd_px" min:"0" say:"Its standard deviation, alike in both directions."`
	Sure     []*float64 `json:"sure" min:"0" max:"1" say:"How sure it is that this is the point."`
	U        []float64  `json:"u_px" say:"The smoothed place in the picture, to the right."`
	V        []float64  `json:"v_px" say:"The same, down."`
	X        []*float64 `json:"x_m" say:"The smoothed place along the piste, in metres on the plane of action; null where the frame is not placed."`
	XSD      []*float64 `json:"x_sd_m" min:"0" say:"Its standard deviation."`
	Z        []*float64 `json:"z_m" say:"Its height above the floor."`
	ZSD      []*float64 `json:"z_sd_m" min:"0" say:"Its standard deviation."`
	VX       []*float64 `json:"vx_m_s" say:"Velocity along the piste, in metres a second."`
	VXSD     []*float64 `json:"vx_sd_m_s" min:"0" say:"Its standard deviation."`
	VZ       []*float64 `json:"vz_m_s" say:"Velocity upwards."`
	VZSD     []*float64 `json:"vz_sd_m_s" min:"0" say:"Its standard deviation."`
	AX       []*float64 `json:"ax_m_s2" say:"Acceleration along the piste, in metres a second squared."`
	AXSD     []*float64 `json:"ax_sd_m_s2" min:"0" say:"Its standard deviation."`
	AZ       []*float64 `json:"az_m_s2" say:"Acceleration upwards."`
	AZSD     []*float64 `json:"az_sd_m_s2" min:"0" say:"Its standard deviation."`
	Speed    []*float64 `json:"speed_m_s" min:"0" say:"The speed."`
	SpeedSD  []*float64 `json:"speed_sd_m_s" min:"0" say:"Its standard deviation."`
}

type onsetRead struct {
	ID    string  `json:"id" match:"line" say:"Name of the proposal."`
	Name  string  `json:"name" match:"line" say:"What the movement shows."`
	Who   string  `json:"who" one:"left|right" say:"The fencer."`
	Part  string  `json:"part" match:"line" say:"What moves: hand, front-foot, rear-foot or blade."`
	Kind  string  `json:"kind" match:"line" say:"starts, lifts or lands."`
	Take  string  `json:"take" match:"line" say:"The take."`
	After int     `json:"after_frame" min:"0" say:"Last frame on which it had not happened yet."`
	By    int     `json:"by_frame" min:"0" say:"First frame on which it had happened."`
	At    float64 `json:"at_s" say:"The instant on the clock of the bout, in seconds."`
	SD    float64 `json:"sd_s" min:"0" say:"Its standard deviation."`
	Lo    float64 `json:"lo95_s" say:"Lower end of its 95 % interval."`
	Hi    float64 `json:"hi95_s" say:"Upper end of its 95 % interval."`
	Sure  float64 `json:"sure" min:"0" max:"1" say:"Chance that something began here at all."`
}

type nextFile struct {
	Take  string  `json:"take" match:"line" say:"The take."`
	Frame int     `json:"frame" min:"0" say:"The frame."`
	Who   string  `json:"who" one:"left|right" say:"The fencer."`
	What  string  `json:"what" match:"line" say:"The point of interest."`
	Now   float64 `json:"now_sd_m" min:"0" say:"Standard deviation of the place on this frame as it is, in metres."`
	Then  float64 `json:"then_sd_m" min:"0" say:"The same with the mark."`
}

type driftFile struct {
	Take   string   `json:"take" match:"line" say:"The take."`
	Frame  int      `json:"frame" min:"0" say:"The placed frame."`
	Px     float64  `json:"drift_px" min:"0" say:"Mean distance of its placing points from where the camera followed from the other placed frames puts them, in pixels."`
	Metres float64  `json:"drift_m" min:"0" say:"The same on the floor, in metres."`
	Share  *float64 `json:"share" min:"0" say:"Its ratio to what the stated uncertainty leads one to expect; null where it is not known."`
}

func trackOf(t study.Track) trackFile {
	f := trackFile{Take: t.Take, Who: t.Who.String(), What: string(t.What), Outliers: framesOf(t.Outliers), Frame: []int{}, At: []float64{}, State: []string{}}
	f.Peak, f.PeakSD = stated(t.Peak)
	if f.Peak != nil {
		f.PeakAt = known(round(float64(t.PeakAt), millis))
		f.Bias, f.BiasSD = stated(t.PeakBias)
	}
	for _, col := range []*[]*float64{&f.SeenU, &f.SeenV, &f.SeenSD, &f.Sure, &f.X, &f.XSD, &f.Z, &f.ZSD, &f.VX, &f.VXSD, &f.VZ, &f.VZSD, &f.AX, &f.AXSD, &f.AZ, &f.AZSD, &f.Speed, &f.SpeedSD} {
		*col = make([]*float64, 0, len(t.Steps))
	}
	f.U, f.V = []float64{}, []float64{}
	for _, s := range t.Steps {
		f.Frame, f.At, f.State = append(f.Frame, int(s.Frame)), append(f.At, round(float64(s.At), millis)), append(f.State, s.State)
		uv := pixel(s.Smooth)
		f.U, f.V = append(f.U, uv[0]), append(f.V, uv[1])
		var u, v, sd, sure *float64
		if s.State == study.StateMarked || s.State == study.StateFollowed {
			seen := pixel(s.Px)
			u, v = known(seen[0]), known(seen[1])
			sd, sure = known(round(float64(s.SD), pixelPlaces)), known(round(s.Sure, surePlaces))
		}
		f.SeenU, f.SeenV, f.SeenSD, f.Sure = append(f.SeenU, u), append(f.SeenV, v), append(f.SeenSD, sd), append(f.Sure, sure)
		// A place without any doubt is one that was not computed.
		placed := s.X.SD > 0 || s.Z.SD > 0
		column(&f.X, &f.XSD, s.X, placed)
		column(&f.Z, &f.ZSD, s.Z, placed)
		column(&f.VX, &f.VXSD, s.VX, placed)
		column(&f.VZ, &f.VZSD, s.VZ, placed)
		column(&f.AX, &f.AXSD, s.AX, placed)
		column(&f.AZ, &f.AZSD, s.AZ, placed)
		column(&f.Speed, &f.SpeedSD, s.Speed, placed)
	}
	return f
}

const (
	// millis is the number of decimal places of an instant without an SD of its own:
	// a tenth of a millisecond.
	millis = 4
	// surePlaces is the number of decimal places of a confidence.
	surePlaces = 2
)

// column adds one quantity to its two columns.
func column[U quantity.Unit](mean, sd *[]*float64, q quantity.Of[U], there bool) {
	var m, s *float64
	if there {
		m, s = stated(&q)
	}
	*mean, *sd = append(*mean, m), append(*sd, s)
}

func framesOf(all []mark.Frame) []int {
	out := []int{}
	for _, f := range all {
		out = append(out, int(f))
	}
	return out
}

func proposalOf(p study.Proposal) onsetRead {
	q := roundOf(p.At, 1)
	return onsetRead{
		ID: p.ID, Name: p.Name, Who: p.Who.String(), Part: p.Part, Kind: p.Kind, Take: p.Take, After: int(p.After), By: int(p.By),
		At: q.mean, SD: q.sd, Lo: q.lo, Hi: q.hi, Sure: round(p.Sure, surePlaces),
	}
}

func nextOf(n study.NextMark) nextFile {
	return nextFile{Take: n.Take, Frame: int(n.Frame), Who: n.Who.String(), What: string(n.What),
		Now: round(float64(n.Now), metrePlaces), Then: round(float64(n.Then), metrePlaces)}
}

func driftOf(d study.Drift) driftFile {
	return driftFile{Take: d.Take, Frame: int(d.Frame), Px: round(float64(d.Px), pixelPlaces), Metres: round(float64(d.Metres), metrePlaces), Share: known(round(float64(d.Share), pixelPlaces))}
}
