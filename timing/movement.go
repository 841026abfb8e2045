package timing

import (
	"fmt"
	"math"

	"mesure/quantity"
)

// Names of the movements that Default knows.
const (
	Extension = "extension"
	Lunge     = "lunge"
	StepLunge = "step-lunge"
	Fleche    = "fleche"
	// StepIn is an extension with one step forward, StepBackExtend one with a step back:
	// the point goes on while the target goes away.
	StepIn         = "step-in"
	StepBackExtend = "step-back-extension"
	Retreat        = "retreat"
	None           = "none"
)

// Actions returns the names of the movements that Default knows.
func Actions() []string {
	return []string{Extension, StepIn, Lunge, StepLunge, Fleche, StepBackExtend, Retreat, None}
}

// Movement is how a fencer's point travels: the arm straightens and the body
// carries it,
//
//	s(t) = Arm·m(t/ArmTime) + Body·m((t − Delay)/BodyTime),
//
// with m the minimum-jerk curve held at its ends and t counted from the onset.
// Towards the opponent is positive: a retreat has a negative Body. A time does
// not matter where its length is exactly zero.
type Movement struct {
	Name      string
	Arm, Body quantity.Of[quantity.Metres]
	ArmTime   quantity.Of[quantity.Seconds]
	BodyTime  quantity.Of[quantity.Seconds]
	// Delay is how much later than the arm the body starts; negative where the
	// foot goes first.
	Delay quantity.Of[quantity.Seconds]
	// Source says what the numbers rest on.
	Source string
}

// UnknownActionError is returned by Default for a name that it does not know.
type UnknownActionError struct{ Name string }

// Error lists the names that are known.
func (e *UnknownActionError) Error() string {
	return fmt.Sprintf("there is no movement %q: use one of %q", e.Name, Actions())
}

// Default returns a movement with its usual lengths and times. sex is "f", "m"
// or empty; level is "club", "elite" or empty; empty takes the middle of both.
// They matter where the sources tell them apart: level for the length of the
// lunge, sex for the time of the step and lunge. Adjust any field afterwards.
//
// It returns *UnknownActionError for a name not listed by Actions. Sources stand
// at the constants and, in short, in Movement.Source.
func Default(action, sex, level string) (Movement, error) {
	arm := quantity.Normal(ArmTravel, ArmTravelSD)
	armTime := quantity.Normal(ArmTime, ArmTimeSD)
	const armSource = "arm 0.45 m in 230 ± 40 ms (common practice, no source)"
	lunge, lungeSource := lungeBody(level)
	m := Movement{Name: action}
	switch action {
	case Extension:
		m.Arm, m.ArmTime = arm, armTime
		m.Source = armSource
	case Lunge:
		m.Arm, m.ArmTime, m.Body = arm, armTime, lunge
		m.BodyTime = quantity.Normal((LungeTime-LungeDelay)/quantity.Seconds(HitTau), LungeTimeSD/quantity.Seconds(HitTau))
		m.Delay = quantity.Normal(LungeDelay, LungeDelaySD)
		m.Source = lungeSource + "; start to hit 650 ± 80 ms (derived from Wang 2024: 930 ms from the light, 13 women); " + armSource
	case StepLunge:
		m.Arm, m.ArmTime = arm, armTime
		m.Body = quantity.Normal(lunge.Mean+StepReach, quantity.Metres(math.Hypot(float64(lunge.SD), float64(StepReachSD))))
		light, sd, who := stepLungeTime(sex)
		m.BodyTime = quantity.Normal((light-VisualReaction)/quantity.Seconds(HitTau),
			quantity.Seconds(math.Hypot(float64(sd), float64(VisualReactionSD)))/quantity.Seconds(HitTau))
		m.Delay = quantity.Normal(quantity.Seconds(0), StepLungeDelaySD)
		m.Source = lungeSource + "; a step adds 0.77 m (Turner and Marshall); " + who + " (IJERPH 20:17, 2023, 15 national foilists) less 200 ms of reaction; " + armSource
	case Fleche:
		m.Arm, m.ArmTime = arm, armTime
		m.Body = quantity.Normal(FlecheBody, FlecheBodySD)
		m.BodyTime = quantity.Normal(quantity.Seconds(PeakSpeedFactor*float64(FlecheBody)/float64(FlecheSpeed)), FlecheTimeSD)
		m.Delay = quantity.Normal(LungeDelay, LungeDelaySD)
		m.Source = "body 1.5 m (common practice, no source) at a peak of 2.77 m/s (Rutkowska-Kucharska 2016, 2 épéeists); " + armSource
	case StepIn:
		m.Arm, m.ArmTime = arm, armTime
		m.Body = quantity.Normal(RetreatStep, RetreatStepSD)
		m.BodyTime = quantity.Normal(RetreatTime, RetreatTimeSD)
		m.Delay = quantity.Normal(LungeDelay, LungeDelaySD)
		m.Source = "one step forward, as long and as quick as one back, of 0.40 m in 350 ms (common practice, no source); " + armSource
	case StepBackExtend:
		m.Arm, m.ArmTime = arm, armTime
		m.Body = quantity.Normal(-RetreatStep, RetreatStepSD)
		m.BodyTime = quantity.Normal(RetreatTime, RetreatTimeSD)
		m.Source = "one step back of 0.40 m in 350 ms (common practice, no source); " + armSource
	case Retreat:
		m.Body = quantity.Normal(-RetreatStep, RetreatStepSD)
		m.BodyTime = quantity.Normal(RetreatTime, RetreatTimeSD)
		m.Source = "one step back of 0.40 m in 350 ms (common practice, no source)"
	case None:
		m.Source = "stands still"
	default:
		return Movement{}, &UnknownActionError{Name: action}
	}
	return m, nil
}

// lungeBody returns how far the lunge carries the shoulder.
func lungeBody(level string) (quantity.Of[quantity.Metres], string) {
	share := quantity.Metres(BodyPerFoot)
	switch level {
	case "elite":
		return quantity.Normal(LungeFootElite*share, LungeFootEliteSD*share), "lunge of elite fencers, front foot 1.17 ± 0.17 m (stereophotogrammetry, 8 foilists)"
	case "club":
		return quantity.Normal(LungeFootClub*share, LungeFootClubSD*share), "lunge of novices, front foot 1.02 ± 0.10 m (stereophotogrammetry, foilists)"
	}
	return quantity.Normal((LungeFootElite+LungeFootClub)/2*share, LungeFootEliteSD*share), "lunge between elite and novice, front foot 1.10 ± 0.17 m (stereophotogrammetry, foilists)"
}

func stepLungeTime(sex string) (mean, sd quantity.Seconds, who string) {
	switch sex {
	case "m":
		return StepLungeMen, StepLungeMenSD, "men 940 ± 80 ms from the light"
	case "f":
		return StepLungeWomen, StepLungeWomenSD, "women 1030 ± 50 ms from the light"
	}
	return (StepLungeMen + StepLungeWomen) / 2, StepLungeMenSD, "985 ± 80 ms from the light, between men and women"
}

// Reach returns how far the point goes when the movement is complete: arm and
// body together, in metres.
func (m Movement) Reach() quantity.Of[quantity.Metres] {
	return quantity.Normal(m.Arm.Mean+m.Body.Mean, quantity.Metres(math.Hypot(float64(m.Arm.SD), float64(m.Body.SD))))
}

// Travel returns how far the point has gone t after the onset, at the mean of
// every parameter.
func (m Movement) Travel(t quantity.Seconds) quantity.Metres {
	return m.arm(t) + m.body(t)
}

func (m Movement) arm(t quantity.Seconds) quantity.Metres {
	return along(m.Arm.Mean, t, m.ArmTime.Mean)
}

func (m Movement) body(t quantity.Seconds) quantity.Metres {
	return along(m.Body.Mean, t-m.Delay.Mean, m.BodyTime.Mean)
}

func along(length quantity.Metres, t, whole quantity.Seconds) quantity.Metres {
	if length == 0 {
		return 0
	}
	return quantity.Metres(float64(float64(length) * MinimumJerk(float64(t/whole))))
}

// TimeTo returns the time from the onset at which the point has first gone this
// far, at the mean of every parameter; false where it never does.
func (m Movement) TimeTo(gap quantity.Metres) (quantity.Seconds, bool) {
	var c course
	c.add(float64(m.Arm.Mean), 0, float64(m.ArmTime.Mean))
	c.add(float64(m.Body.Mean), float64(m.Delay.Mean), float64(m.BodyTime.Mean))
	t, ok := c.first(float64(gap), math.NaN())
	return quantity.Seconds(t), ok
}
