package video_test

import (
	"mesure/study"
	"mesure/video"
)

// An Engine is what study asks for.
var _ study.Unreeler = video.Engine(nil)
