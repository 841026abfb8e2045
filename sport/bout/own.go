package bout

// Own is one number of a fencer's own that stands in place of a default: a time in
// seconds or a length in metres, as its name says.
type Own struct {
	// Name is one of OwnFigures.
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	// SD is its spread; zero takes that of the default.
	SD float64 `json:"sd,omitempty"`
}

// OwnFigure is a number of which a fencer may have an own.
type OwnFigure struct {
	Name string
	// Unit is "m" or "s".
	Unit        string
	Word, About string
	// Least and Most bound what is accepted.
	Least, Most float64
}

// OwnFigures lists them in the order in which they are shown.
func OwnFigures() []OwnFigure {
	return []OwnFigure{
		{"extension", "m", "arm's extension", "How far the point goes when the arm straightens from the guard.", 0.05, 1.0},
		{"extension-time", "s", "time of the extension", "From the first movement of the hand to the straight arm.", 0.05, 2},
		{"lunge", "m", "body in the lunge", "How far the lunge carries the shoulder.", 0.1, 2.5},
		{"lunge-time", "s", "time of the body in the lunge", "From the first movement of the body to the end of the lunge.", 0.1, 3},
		{"lunge-delay", "s", "body after the hand", "How much later than the hand the body starts; negative where the foot leads.", -0.5, 0.5},
		{"step-lunge", "m", "body in step and lunge", "How far step and lunge carry the shoulder.", 0.2, 4},
		{"step-lunge-time", "s", "time of step and lunge", "From the first movement to the end of the lunge.", 0.2, 4},
		{"fleche", "m", "body in the flèche", "How far the flèche carries the shoulder.", 0.2, 4},
		{"fleche-time", "s", "time of the flèche", "From the first movement of the body to its end.", 0.1, 3},
		{"step-back", "m", "step back", "How far one step back carries the body.", 0.05, 1.5},
		{"step-back-time", "s", "time of a step back", "From the first movement to both feet down.", 0.1, 2},
		{"visual-reaction", "s", "reaction to what is seen", "From a cue to the first movement, when there is one answer.", 0.05, 1},
		{"tactile-reaction", "s", "reaction to a touch of the blades", "The same, from a contact that is felt.", 0.05, 1},
		{"choice-cost", "s", "cost of choosing", "What each doubling of the number of answers adds.", 0, 0.5},
		{"parry-time", "s", "lateral parry", "From the first movement of the hand to the closed line.", 0.03, 1},
		{"semicircular-parry-time", "s", "semicircular parry", "From high to low or back.", 0.03, 1},
		{"circular-parry-time", "s", "circular parry", "Once round the other blade.", 0.03, 1},
		{"disengage-time", "s", "disengage", "Under the blade into another line.", 0.03, 1},
	}
}

// OwnFigureNamed returns the figure of this name; false where there is none.
func OwnFigureNamed(name string) (OwnFigure, bool) {
	for _, f := range OwnFigures() {
		if f.Name == name {
			return f, true
		}
	}
	return OwnFigure{}, false
}

// Figure returns the fencer's own number of this name; false where there is none.
func (f Fencer) Figure(name string) (Own, bool) {
	for _, o := range f.Own {
		if o.Name == name {
			return o, true
		}
	}
	return Own{}, false
}
