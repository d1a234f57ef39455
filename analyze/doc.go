// Package analyze finds the charges in a stream of samples and judges them.
//
// The problem: a log of volts and amperes tells all about a night of charging,
// but not in words. Where did constant current end, how much went in and how
// sure is that, did it finish? The current was not constant, the zero of the
// meter is not zero, rows are missing and the clock runs backwards.
//
// The promise: one sample at a time goes into a Machine, events and a summary
// come out, the same for the same samples on any day, in memory that does not
// grow with the length of a charge.
//
// What it does not do: read, write, wait, log or ask what time it is.
//
// A Machine takes each sample through its parts, in this order; a file is
// about the thing that it is named for.
//
//	what is known before    options patience chemistry chargefactor limits earlier earlierpath learn
//	a sample                sample screen alone
//	its time                timeline leap interval onchange
//	the meter               meter digits silent reversed frozen stuck
//	what flowed             integrator quiet uncertainty flowed
//	is there a current      flow doubt morethanzero
//	whose row is it         machine regime lifecycle pauses continued blind topup
//	a charge                charge trace block levels histogram table
//	its voltage limit       held heldatonce heldfromthefirst heldtotheend heldtoolow bend bendfit
//	its end                 finish tail abrupt beside float
//	the end of nickel       peak crested rounded steepened warmed onlynickel
//	what battery it is      infer ontheway cells
//	all of that at once     view
//	findings                findings telling ledger event latch words
//	  of every row          hazards temperature freezing overvoltage anykind looselead attached flicker
//	                        nobody unanswered untouched wandering
//	  once a minute         watch needs runaway sagged relaxing notaper lastcurrent overcapacity notreached shorted shortedheld
//	                        runninglong acceptslittle stalled trickle starved atmenu flat stood pushedback
//	  of a whole charge     judge dropped powerlimited throttled
//	a forecast              forecast forecastprospect forecastfilling forecastneed forecastguess forecastnickel forecastcrest
//	                        forecaststep forecastleaving forecastbefore forecastshape forecastresistance forecasttaper taperfit
//	a rest                  resting restbefore rest restheld takenoff restafter restfit restcurve soc
//	                        relax relaxshape relaxlinear relaxprofile
//	resistance              resist resistfit resistdirect resistlist
//	what is told            summary number session document starting
//	many rows in one go     stepblock evenly calm calmcharge calmrest larger
//
// What many rows in one go take is what they take one by one, to the last bit: to
// understand the rest, nobody needs those files.
package analyze
