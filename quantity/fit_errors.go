package quantity

import "fmt"

// NotConvergedError says that a fit ran out of iterations or could not take a
// step. The state that was reached goes with it.
type NotConvergedError struct{ Solution Solution }

// Error says what happened and what would mend it.
func (e *NotConvergedError) Error() string {
	return fmt.Sprintf("the fit did not settle in %d iterations (sum of squares %.6g): start nearer to the answer, or add data", e.Solution.Iterations, e.Solution.RSS)
}

// SingularError says that the data do not determine a parameter.
type SingularError struct {
	// Parameter is the index of the one that is least determined.
	Parameter int
	// Condition is the condition number of the scaled derivatives; infinite
	// where the parameter has no effect at all.
	Condition float64
}

// Error says what happened and what would mend it.
func (e *SingularError) Error() string {
	return fmt.Sprintf("the data do not determine parameter %d (condition %.3g): add data that depend on it, or hold it fixed", e.Parameter, e.Condition)
}

// NotFiniteError says that a formula gave NaN or infinity where a fit or a
// summary needed numbers.
type NotFiniteError struct{ What string }

// Error says what happened and what would mend it.
func (e *NotFiniteError) Error() string {
	return fmt.Sprintf("%s are not finite: check the inputs for missing or extreme numbers", e.What)
}
