package card

import (
	"regexp"
	"strings"
	"unicode"
)

// diagnosisPhrases are names of conditions that may not stand on a card: an
// instructor on snow needs what to do, not what somebody has. Lower case,
// words separated by one space. Events to act on (a seizure, low sugar, a blow
// to the head) are not in the list, because the action cannot be said without
// them. The conditions are those of the intake sheet the trade uses, with the
// names they are commonly given (from memory).
var diagnosisPhrases = []string{
	"cerebral palsy", "spastic", "spasticity", "dystonia", "athetosis", "ataxia", "ataxic",
	"multiple sclerosis", "sclerosis", "relapse", "relapsing", "optic neuritis",
	"stroke", "infarct", "aneurysm", "aphasia", "hemianopia", "hemineglect",
	"brain injury", "head injury", "concussion", "brain damage",
	"spina bifida", "myelomeningocele", "tethered cord", "shunt", "chiari",
	"spinal cord injury", "cord injury", "cord lesion", "autonomic dysreflexia", "dysreflexia",
	"down syndrome", "down s syndrome", "downs syndrome", "trisomy", "atlantoaxial instability",
	"dystrophy", "duchenne", "myopathy", "neuropathy", "atrophy", "charcot marie tooth", "myasthenia",
	"amputation", "amputee", "stump sore",
	"osteoporosis", "osteogenesis imperfecta", "brittle bone", "brittle bones", "osteopenia",
	"epilepsy", "epileptic", "seizure disorder",
	"blind", "blindness", "glaucoma", "retinitis", "macular degeneration",
	"cardiac disease", "heart disease", "heart failure", "heart attack", "angina", "cardiomyopathy", "arrhythmia",
	"asthma", "copd", "cystic fibrosis",
	"diabetes", "diabetic",
	"autism", "autistic", "asperger", "adhd", "ptsd", "dementia", "alzheimer", "alzheimer s", "schizophrenia",
	"learning disability", "intellectual disability", "mentally retarded", "developmental delay",
	"parkinson", "parkinson s", "parkinsons", "huntington", "polio", "post polio",
	"hip displacement", "hip dysplasia", "hip subluxation", "migration percentage", "scoliosis",
	"raynaud", "raynaud s", "haemophilia", "hemophilia", "cancer", "tumour", "tumor", "leukaemia", "leukemia", "hiv",
	"guillain barre", "hydrocephalus", "incontinent", "incontinence", "cripple", "handicapped",
	"botox", "botulinum", "baclofen", "warfarin", "anticoagulant", "antiepileptic",
	"diagnosis", "diagnosed", "syndrome",
}

// spacedPhrases are the phrases with a space on both sides.
var spacedPhrases = func() []string {
	out := make([]string, len(diagnosisPhrases))
	for i, p := range diagnosisPhrases {
		out[i] = " " + p + " "
	}
	return out
}()

// diagnosisEndings are word endings that only names of conditions have.
var diagnosisEndings = []string{"plegia", "plegic", "plegics", "paresis", "paretic", "itis", "cephaly"}

// diagnosisShort are abbreviations, matched in capitals only.
var diagnosisShort = map[string]bool{
	"CP": true, "MS": true, "TBI": true, "ABI": true, "SCI": true, "OI": true, "AAI": true, "DMD": true, "BMD": true,
	"CMT": true, "ALS": true, "ASD": true, "ADHD": true, "PTSD": true, "AD": true, "CVA": true, "COPD": true,
	"GMFCS": true, "HIV": true,
}

// classificationCode matches codes of the international classification of
// diseases with a decimal ("G80.1"); without the decimal they look like skill
// and lesson codes.
var classificationCode = regexp.MustCompile(`\b[A-Z][0-9]{2}\.[0-9]`)

// DiagnosisIn returns the first name of a condition found in the text, or "".
// Words are compared whole, so that "handle" does not hold "AD".
func DiagnosisIn(text string) string {
	words := strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	for _, w := range words {
		if diagnosisShort[w] {
			return w
		}
	}
	if m := classificationCode.FindString(text); m != "" {
		return m
	}
	flat := " " + strings.ToLower(strings.Join(words, " ")) + " "
	for _, p := range spacedPhrases {
		if strings.Contains(flat, p) {
			return strings.TrimSpace(p)
		}
	}
	for _, w := range strings.Fields(flat) {
		for _, end := range diagnosisEndings {
			if strings.HasSuffix(w, end) && len(w) > len(end) {
				return w
			}
		}
	}
	return ""
}
