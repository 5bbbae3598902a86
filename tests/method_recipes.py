"""Twenty recipes with method from suppers of the Tidewater Supper Club, and what each weighs when it is done.

The weights were worked out by hand before the tool ran, from the published yields beside each: of foods (Bognar 2002,
Bergstrom 1994, CoFID, SR28 raw and cooked, as in data/yields.csv) and of kinds of dishes (FNDDS 2015-2016 medians).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Supper:
    """A recipe as a cook writes it; cooked: its weight by hand [g]; raw: all that is eaten of it, before [g]."""

    text: str
    cooked: float
    by_hand: str

    @property
    def name(self) -> str:
        return self.text.strip().splitlines()[0]


SUPPERS = (
    Supper(
        """
Herring Quay chicken stew
Serves 4
800 g chicken thigh fillets
200 g onions, sliced
300 g carrots, in chunks
400 g potatoes, in chunks
500 ml chicken stock
2 tbsp sunflower oil
Method
Heat the oil in a large casserole and brown the chicken on all sides, then set aside.
Add the onions and carrots and soften for 8 minutes. Return the chicken to the pan with the potatoes and the stock.
Bring to the boil, cover and simmer for 45 minutes.
""",
        2042,
        "2,227 g in; stew under a lid: the quartile of FNDDS stews that loses least, 8.3 %",
    ),
    Supper(
        """
Spaghetti of the ropewalk
Serves 4
400 g spaghetti
200 g onions, finely chopped
2 cloves garlic, crushed
2 tbsp olive oil
2 x 400 g tins chopped tomatoes
Method
1. Fry the onions and garlic in the oil for 10 minutes until soft.
2. Add the tomatoes and simmer, uncovered, for 20 minutes until reduced by a third.
3. Meanwhile, cook the spaghetti in plenty of boiling salted water for 10 minutes, then drain.
4. Toss the spaghetti with the sauce and serve at once.
""",
        1724,
        "spaghetti x 2.39 (SR28); 800 g tomatoes less a third, 235 g of the rest as they are",
    ),
    Supper(
        """
Slipway tray of chicken and potatoes
Serves 4
1 kg chicken thigh fillets
800 g potatoes, quartered
300 g red onions, in wedges
3 tbsp olive oil
Method
Heat the oven to 200C/180C fan/gas 6.
Toss everything together in a roasting tin and season well. Roast for 45 minutes, turning once, until golden.
""",
        1653,
        "chicken roasted x 0.78, potato x 0.74, onion x 0.80, oil",
    ),
    Supper(
        """
Low water leek and potato soup
Serves 6
400 g leeks, sliced
500 g potatoes, diced
50 g butter
1 litre vegetable stock
150 ml double cream
Method
Melt the butter in a large pan, add the leeks and sweat gently for 10 minutes. Add the potatoes and stock, bring to
the boil and simmer for 20 minutes until the potatoes are tender.
Blend until smooth, stir in the cream and reheat without boiling.
""",
        1808,
        "1,950 g less 15 % (FNDDS soups), cream added after",
    ),
    Supper(
        """
Bosun's mash
Serves 4
1 kg floury potatoes, peeled and quartered
60 g butter
100 ml whole milk
Method
Boil the potatoes in salted water for 20 minutes until tender. Drain well, return to the pan and mash with the
butter and milk.
""",
        1163,
        "potatoes boiled x 1.00 (Bognar), butter and milk as they are",
    ),
    Supper(
        """
Baked salmon with buttered beans
Serves 4
4 salmon fillets (150 g each)
300 g green beans, trimmed
30 g butter
Method
Preheat the oven to 190C. Place the salmon on a baking tray and bake for 15 minutes.
Meanwhile, boil the beans for 5 minutes, drain and toss with the butter. Serve the salmon with the beans.
""",
        770,
        "salmon baked x 0.78 (SR28), beans boiled x 0.905 (Bergstrom, SR28), butter",
    ),
    Supper(
        """
Deckhand's chilli con carne
Serves 4
500 g lean beef mince (5% fat)
200 g onions, chopped
2 tbsp oil
2 x 400 g tins chopped tomatoes
400 g tin kidney beans, drained and rinsed
200 ml beef stock
2 tsp ground cumin
Method
Heat the oil and fry the onions for 5 minutes. Add the mince and cook until browned. Stir in the cumin, tomatoes and
stock. Simmer, uncovered, for 45 minutes. Add the beans and cook for 10 minutes more.
""",
        1774,
        "1,971 g less 10 % (FNDDS chilli con carne)",
    ),
    Supper(
        """
Net-loft dal
Serves 4
300 g red lentils
150 g onion, chopped
30 g ghee
1 tsp turmeric
Method
Rinse the lentils. Put them in a pan with the turmeric and 1.2 litres of water, bring to the boil and simmer for
30 minutes until soft. In a small frying pan, fry the onion in the ghee until golden and stir into the dal.
""",
        1355,
        "1,683 g less 19.5 % (FNDDS pulses), the water of the method among them",
    ),
    Supper(
        """
Ferryman's pilaf
Serves 4
300 g basmati rice
600 ml chicken stock
150 g onion, chopped
30 g butter
Method
Fry the onion in the butter for 8 minutes. Stir in the rice, then pour in the stock. Bring to the boil, cover with a
lid and cook over a low heat for 15 minutes. Leave to stand for 5 minutes.
""",
        940,
        "1,080 g less 13 % (FNDDS rice dishes, the quartile that loses least, for the lid)",
    ),
    Supper(
        """
Harbour wall cod in batter
Serves 4
800 g cod fillets
200 g plain flour
300 ml cold sparkling water
1.5 litres sunflower oil, for deep frying
Method
Whisk the flour and water to a smooth batter. Heat the oil to 180C in a deep pan. Dip the fish in the batter and fry
in batches for 6 minutes until crisp. Drain on kitchen paper.
""",
        1090,
        "cod x 0.74, batter less a quarter of its water, 8 % oil taken up (FNDDS)",
    ),
    Supper(
        """
Chops off the griddle with peas
Serves 4
4 boneless pork chops (200 g each)
300 g frozen peas
20 g butter
Method
Grill the chops for 6 minutes on each side. Boil the peas for 3 minutes and drain, then stir in the butter. Serve.
""",
        888,
        "pork grilled x 0.71 (Bergstrom, SR28), peas x 1.00, butter",
    ),
    Supper(
        """
Early ferry porridge
Serves 4
200 g porridge oats
1 litre whole milk
Method
Put the oats and milk in a pan. Bring slowly to the boil, then simmer for 5 minutes, stirring all the time.
""",
        1046,
        "1,230 g less 15 % (FNDDS porridge)",
    ),
    Supper(
        """
Regatta sponge cake
Serves 10
225 g butter, softened
225 g caster sugar
225 g self-raising flour
4 medium eggs
Method
Beat the butter and sugar until pale. Beat in the eggs one at a time, then fold in the flour.
Divide between two tins and bake for 25 minutes at 180C/350F/gas 4. Cool on a wire rack.
""",
        787,
        "about 875 g less 10 % (FNDDS cakes)",
    ),
    Supper(
        """
Lamplighter's ginger biscuits
Makes 30
350 g plain flour
100 g butter
175 g soft brown sugar
1 medium egg
80 g golden syrup
2 tsp ground ginger
Method
Rub the butter into the flour and ginger, then stir in the sugar. Add the egg and syrup and mix to a dough.
Roll into balls, arrange on trays and bake for 12 minutes.
""",
        713,
        "about 758 g less 6 % (FNDDS biscuits)",
    ),
    Supper(
        """
Sunday topside
Serves 6
1.5 kg beef topside joint
1 tbsp oil
Method
Heat the oven to 220C. Rub the beef with the oil. Roast for 20 minutes, then turn the oven down to 170C and roast for
a further 1 hour. Rest for 20 minutes before carving.
""",
        1169,
        "beef joint roasted x 0.77 (SR28), oil",
    ),
    Supper(
        """
Pilot's fish pie
Serves 6
1 kg floury potatoes
600 g haddock fillets
500 ml whole milk
100 g butter
50 g plain flour
Method
Boil the potatoes for 15 minutes, drain and mash with half the butter.
Poach the haddock in the milk for 8 minutes. Lift out the fish and flake it.
Melt the rest of the butter in a pan, stir in the flour and cook for 1 minute. Gradually whisk in the milk and simmer
for 5 minutes until thick. Fold in the fish and tip into a pie dish. Top with the mash.
Bake for 30 minutes at 190C until golden.
""",
        1955,
        "filling 1,215 g less 10 % (FNDDS sauces), mash 1,050 g; together less 8.8 % (FNDDS savoury pies)",
    ),
    Supper(
        """
Sailmaker's vegetable stew
Serves 6
400 g aubergine, cubed
400 g courgettes, sliced
300 g red peppers, sliced
200 g onions, sliced
4 tbsp olive oil
2 x 400 g tins chopped tomatoes
Method
Heat the oil in a large pan. Fry the onions and peppers for 10 minutes, then add the aubergine and courgettes and cook
for 5 minutes. Add the tomatoes, cover and cook for 30 minutes, then uncover and simmer for a further 40 minutes.
""",
        1874,
        "2,154 g less 13 % (FNDDS stews)",
    ),
    Supper(
        """
Quick crew stir fry
Serves 4
500 g chicken breast, in strips
200 g red peppers, sliced
150 g mangetout
100 g spring onions
2 tbsp oil
3 tbsp soy sauce
250 g dried egg noodles
Method
Boil the noodles for 4 minutes and drain. Heat the oil in a wok, add the chicken and stir-fry for 5 minutes. Add the
peppers, mangetout and spring onions and stir-fry for 3 minutes. Add the soy sauce and the noodles and toss together.
""",
        1694,
        "stir-fry less 5 % (FNDDS), noodles x 2.86 (SR28)",
    ),
    Supper(
        """
Anchorage red wine sauce
Serves 6
500 ml red wine
500 ml beef stock
50 g shallots, finely chopped
30 g cold butter
Method
Put the shallots and wine in a pan and boil until reduced by half. Add the stock and reduce by half again. Take off
the heat and whisk in the butter.
""",
        454,
        "wine 497 g to 248, with 500 g stock to 374; shallots and butter",
    ),
    Supper(
        """
Harbour master's rice pudding
Serves 6
150 g pudding rice
1.2 litres whole milk
60 g caster sugar
30 g butter
Method
Heat the oven to 150C. Put the rice, milk and sugar in a buttered dish, dot with the butter and bake for 2 hours,
stirring twice.
""",
        1328,
        "1,476 g less 10 % (FNDDS puddings)",
    ),
)
