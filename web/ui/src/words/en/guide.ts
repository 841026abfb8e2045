// The guided first touch: five hints from the picture to the race.
export const guide = {
  title: 'First touch',
  again: 'Show the guided first touch',
  step: '{n} of {all}',
  dismiss: 'I know my way',
  close: 'Put the guide away',
  show: 'Show me the frame',
  understood: 'I see',
  hints: {
    look: { title: 'Look at the touch', text: 'The arrow keys step one frame, on a tablet the two buttons below the picture. Step to where the attack begins.' },
    place: { title: 'Place the piste', text: 'Name four points of the piste and click each in the picture. From them Mesure knows where the camera stood, and pixels become metres.' },
    mark: { title: 'Mark the points', text: 'Click the point, the guard and the body of both fencers on the placed frame. The loupe shows the pixels; Alt with an arrow moves a mark by a quarter of one.' },
    moment: { title: 'Set the moment', text: 'On the stave, set what begins at this frame. The race can be run from any moment.' },
    race: { title: 'Read the race', text: 'Whose point arrives first, by how much, and how sure that is. Drag a mark and see what follows. “What matters most” says which mark to refine.' },
  },
  end: 'That is the whole way: placed, marked, timed, read. “Tell it” makes the plates and the report of it.',
  right: 'Still to mark: {what}.',
};
