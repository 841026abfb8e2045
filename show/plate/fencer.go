package plate

import (
	"mesure/show/draw"
	"mesure/sport/mark"
)

// Hue returns the colour of a fencer in a theme.
func Hue(th draw.Theme, s mark.Side) draw.Colour {
	if s == mark.Left {
		return th.Left
	}
	return th.Right
}

// Shape returns the mark of a fencer about a centre, size wide: a square for the
// left one, a disc for the right one. The disc is a little wider, so that both
// have the same area.
func Shape(s mark.Side, c draw.Pt, size draw.MM) *draw.Path {
	if s == mark.Left {
		return draw.Box{X: c.X - size/2, Y: c.Y - size/2, W: size, H: size}.Path()
	}
	const sameArea = 1.1284 // 2/√π
	return draw.Circle(c, size*sameArea/2)
}

// Name returns "Left" or "Right".
func Name(s mark.Side) string {
	if s == mark.Left {
		return "Left"
	}
	return "Right"
}

// TargetWords says a target in words that stand after "the".
func TargetWords(t mark.Target) string {
	if t == mark.UpperArm {
		return "upper arm"
	}
	return string(t)
}

// BandWords says in words what a measure asks of the fencer.
func BandWords(band string) string {
	switch band {
	case "short":
		return "short measure (extension)"
	case "medium":
		return "medium measure (lunge)"
	case "long":
		return "long measure (step and lunge)"
	case "out":
		return "out of measure"
	}
	return band
}

// TakesWords says which movement a measure takes to hit, such as "a lunge".
func TakesWords(band string) string {
	switch band {
	case "short":
		return "an extension"
	case "medium":
		return "a lunge"
	case "long":
		return "a step and a lunge"
	}
	return "more than a step and a lunge"
}

// ActionWords says an action of the race in words that stand after "a".
func ActionWords(action string) string {
	switch action {
	case "step-lunge":
		return "step and lunge"
	case "fleche":
		return "flèche"
	case "step-in":
		return "extension with a step forward"
	case "step-back-extension":
		return "extension with a step back"
	}
	return action
}
