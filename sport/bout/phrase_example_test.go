package bout_test

import (
	"fmt"

	"mesure/sport/bout"
	"mesure/sport/mark"
)

func ExampleWrittenPhrase() {
	p := bout.WrittenPhrase{
		Actions: []bout.Action{
			{ID: "1", Who: mark.Left, Line: "blade", Word: "attack", From: 10, To: 24},
			{ID: "2", Who: mark.Left, Line: "feet", Word: "lunge", From: 12, To: 26},
			{ID: "3", Who: mark.Right, Line: "blade", Word: "riposte", From: 25, To: 33},
		},
		Notes: []bout.PhraseNote{{ActionID: "1", Target: mark.Forearm, Result: bout.FellShort}},
	}
	fmt.Println(p.Sentence(bout.Vocabulary{}, nil, "Ada", "Bea"))
	for _, w := range p.Warnings(bout.Vocabulary{}, nil) {
		fmt.Println(w)
	}
	// Output:
	// Ada attacks to the forearm with a lunge but falls short; Bea ripostes.
	// the right fencer's riposte: the same fencer has not parried before; write the parry of the attack, or choose another word (t.9.1)
}

func ExampleVocabulary_Find() {
	for _, m := range (bout.Vocabulary{Weapon: bout.Epee}).Find("co", "blade")[:4] {
		fmt.Println(m.Word.Name, "/", m.Term, m.Language)
	}
	// Output:
	// counter-attack / counter-attack en
	// counter parry / counter parry en
	// stop hit / coup d'arrêt fr
	// counter-riposte / counter-riposte en
}
